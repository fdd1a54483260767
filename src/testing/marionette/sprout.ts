import type { Vec3 } from '../../math/index.js';
import { add, cross, dot, normalize, scale, subtract } from '../../math/index.js';
import type { JointWeights } from './body-parts.js';
import type { HalfCage } from './half-cage.js';
import type { KeyRing } from './loft.js';
import { alignRing, existingRing, loft } from './loft.js';

/** A ring of a sprout: where its middle lies, and its half width across and along `up`. */
interface SproutRing {
  readonly centre: Vec3;
  readonly width: number;
  readonly height: number;
}

export interface Sprout {
  readonly rings: readonly SproutRing[];
  /** Roughly the direction that heights are measured along. */
  readonly up: Vec3;
  readonly weights: JointWeights;
}

const IN_HEAD: JointWeights = { spine: 1, neck: 1 };

/** A pointed ear on the side of the head. */
export const EAR: Sprout = {
  up: [0, 1, -0.4],
  weights: IN_HEAD,
  rings: [
    { centre: [0.088, 1.688, -0.014], width: 0.008, height: 0.021 },
    { centre: [0.108, 1.718, -0.034], width: 0.006, height: 0.018 },
    { centre: [0.124, 1.752, -0.056], width: 0.003, height: 0.006 },
  ],
};

/** A horn that curves up from the brow. */
export const HORN: Sprout = {
  up: [0, -0.6, 1],
  weights: IN_HEAD,
  rings: [
    { centre: [0.06, 1.792, 0.062], width: 0.013, height: 0.013 },
    { centre: [0.074, 1.826, 0.066], width: 0.01, height: 0.01 },
    { centre: [0.08, 1.862, 0.056], width: 0.006, height: 0.006 },
    { centre: [0.078, 1.89, 0.038], width: 0.0025, height: 0.0025 },
  ],
};

/** A tail; its middle line lies on the mirror plane. */
export const TAIL: Sprout = {
  up: [0, 1, 0],
  weights: {},
  rings: [
    { centre: [0, 0.92, -0.18], width: 0.034, height: 0.034 },
    { centre: [0, 0.85, -0.26], width: 0.028, height: 0.028 },
    { centre: [0, 0.74, -0.34], width: 0.024, height: 0.024 },
    { centre: [0, 0.61, -0.43], width: 0.02, height: 0.02 },
    { centre: [0, 0.52, -0.55], width: 0.015, height: 0.015 },
    { centre: [0, 0.5, -0.66], width: 0.006, height: 0.006 },
  ],
};

/** A wing spread to the side and back: a thin blade. */
export const WING: Sprout = {
  up: [0, 1, 0.1],
  weights: { spine: 1 },
  rings: [
    { centre: [0.1, 1.41, -0.17], width: 0.014, height: 0.045 },
    { centre: [0.17, 1.44, -0.22], width: 0.013, height: 0.08 },
    { centre: [0.32, 1.47, -0.28], width: 0.012, height: 0.16 },
    { centre: [0.52, 1.46, -0.34], width: 0.01, height: 0.19 },
    { centre: [0.72, 1.42, -0.38], width: 0.008, height: 0.13 },
    { centre: [0.84, 1.38, -0.4], width: 0.004, height: 0.05 },
  ],
};

/**
 * Grows a tube out of a hole of one cell, closed at its tip by one quad. `base` runs counter-clockwise seen
 * from outside. With `isHalf` the hole lies on the mirror plane: `base` then runs from the plane to the plane.
 */
export function growSprout(
  cage: HalfCage,
  base: readonly number[],
  { rings, up, weights }: Sprout,
  { part, spacing, isHalf = false }: { part: number; spacing: number; isHalf?: boolean },
): void {
  const first = existingRing(cage, base);
  const keys: KeyRing[] = [first];
  rings.forEach(({ centre, width, height }, i) => {
    const before = i > 0 ? rings[i - 1]!.centre : average(first.points, isHalf);
    const along = normalize(subtract(rings[Math.min(i + 1, rings.length - 1)]!.centre, before));
    const across = normalize(cross(along, up));
    const over = cross(across, along);
    const corner = (s: number, t: number): Vec3 =>
      add(centre, add(scale(across, s * width), scale(over, t * height)));
    // Seen from the tip `across` points left, or the half with x > 0 on the plane.
    const points = isHalf
      ? [
          corner(0, 1),
          halfCorner(centre, width, over, height, 0.6),
          halfCorner(centre, width, over, height, -0.6),
          corner(0, -1),
        ]
      : [corner(-0.75, 0.75), corner(0.75, 0.75), corner(0.75, -0.75), corner(-0.75, -0.75)];
    keys.push({
      points: isHalf ? points : alignRing(orient(points, along), first.points),
      weights,
      loop: i % 2 === 0 || i === rings.length - 1 ? 'always' : 'usual',
    });
  });
  const tip = loft(cage, keys, { isClosed: !isHalf, part: () => part, spacing, first: base }).at(-1)!;
  cage.quad(tip[0]!, tip[1]!, tip[2]!, tip[3]!, part);
}

const halfCorner = (centre: Vec3, width: number, over: Vec3, height: number, t: number): Vec3 =>
  add(add(centre, [width, 0, 0]), scale(over, t * height));

function average(points: readonly Vec3[], isHalf: boolean): Vec3 {
  const sum = points.reduce((total, p) => add(total, p), [0, 0, 0] as Vec3);
  const [x, y, z] = scale(sum, 1 / points.length);
  return [isHalf ? 0 : x, y, z];
}

/** The ring run counter-clockwise seen against `along`. */
function orient(points: readonly Vec3[], along: Vec3): readonly Vec3[] {
  const [a, b, c] = points as readonly [Vec3, Vec3, Vec3];
  return dot(cross(subtract(b, a), subtract(c, b)), along) > 0 ? points : [...points].reverse();
}
