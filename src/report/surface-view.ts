import type { AxisOptions } from '../fields/index.js';
import { buildAxisFrame } from '../fields/index.js';
import type { Vec3 } from '../math/index.js';
import { add, normalize, scale } from '../math/index.js';

/** A direction to look from, without perspective. */
export interface SurfaceView {
  readonly name: string;
  /** From the model towards the eye. */
  readonly eye: Vec3;
  /** What points up in the picture. */
  readonly up: Vec3;
}

/** Front, back, both sides, and from above at an angle. Sides are the character's own. */
export function standardViews(options: AxisOptions = {}): SurfaceView[] {
  const { side, up, front } = buildAxisFrame(options);
  const minus = (a: Vec3) => scale(a, -1);
  const slanted = normalize(add(add(front, scale(side, 0.8)), scale(up, 0.9)));
  return [
    { name: 'front', eye: front, up },
    { name: 'left', eye: side, up },
    { name: 'back', eye: minus(front), up },
    { name: 'right', eye: minus(side), up },
    { name: 'above', eye: slanted, up },
  ];
}
