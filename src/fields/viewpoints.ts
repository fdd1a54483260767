import { InvalidOptionError } from '../errors.js';
import type { Vec3 } from '../math/index.js';
import { add, dot, normalize, scale } from '../math/index.js';
import type { AxisFrame } from './axis-frame.js';
import { checkDirection } from './axis-frame.js';

/** One direction the model is seen from (from the model towards the viewer), any length above 0, weight ≥ 0. */
export interface Viewpoint {
  readonly direction: Vec3;
  /** @defaultValue 1 */
  readonly weight?: number;
}

/**
 * Where a model is seen from.
 *
 * - `all-round`: every direction alike. Twice the share of the sphere that sees the place, at most 1, since
 *   no place on a convex body is seen from more than half.
 * - `front`: directions weighted by the cosine to the front.
 * - `behind-above`: a following camera: weighted by the squared cosine to a line 30° above straight behind.
 * - a list of directions with weights.
 */
export type Viewpoints = 'all-round' | 'front' | 'behind-above' | readonly Viewpoint[];

/** Weights over sampled directions; a place's exposure is min(1, gain × seen weight / whole weight). */
export interface DirectionWeights {
  readonly weights: Float64Array;
  readonly total: number;
  readonly gain: number;
}

/** Weight of each direction under a preset. */
export function weighDirections(
  viewpoints: Exclude<Viewpoints, readonly Viewpoint[]>,
  directions: readonly Vec3[],
  frame: AxisFrame,
): DirectionWeights {
  const weigh = presetWeight(viewpoints, frame);
  const weights = Float64Array.from(directions, weigh);
  return { weights, total: weights.reduce((sum, w) => sum + w, 0), gain: viewpoints === 'all-round' ? 2 : 1 };
}

function presetWeight(viewpoints: string, frame: AxisFrame): (direction: Vec3) => number {
  if (viewpoints === 'all-round') return () => 1;
  if (viewpoints === 'front') return (d) => Math.max(0, dot(d, frame.front));
  if (viewpoints === 'behind-above') {
    const camera = normalize(add(scale(frame.front, -Math.sqrt(3)), frame.up));
    return (d) => Math.max(0, dot(d, camera)) ** 2;
  }
  throw new InvalidOptionError(
    'OPTION_INVALID',
    `viewpoints: unknown preset, got '${viewpoints}', expected all-round, front, behind-above or a list of directions`,
    { viewpoints },
  );
}

/** Unit directions and weights of a caller's list. */
export function checkViewpoints(list: readonly Viewpoint[]): { directions: Vec3[]; weights: number[] } {
  const directions = list.map((v, i) => normalize(checkDirection(`viewpoints[${i}].direction`, v.direction)));
  const weights = list.map((v) => v.weight ?? 1);
  const bad = weights.findIndex((w) => !(w >= 0 && Number.isFinite(w)));
  if (bad >= 0 || !weights.some((w) => w > 0)) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `viewpoints: weights not usable, got [${weights.join(', ')}], expected finite numbers ≥ 0 with at least one above 0`,
      { weights },
    );
  }
  return { directions, weights };
}
