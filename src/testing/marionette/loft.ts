import type { Vec3 } from '../../math/index.js';
import { length, subtract } from '../../math/index.js';
import type { JointWeights } from './body-parts.js';
import type { HalfCage } from './half-cage.js';
import { listWeights } from './half-cage.js';

/** One designed cross-section: where the surface passes at this ring. */
export interface KeyRing {
  readonly points: readonly Vec3[];
  /** One set for the whole ring, or one list in the order of JOINTS per point. */
  readonly weights: JointWeights | readonly (readonly number[])[];
  readonly loop: LoopNeed;
}

/**
 * When an edge loop lies exactly on a key ring: `always`, on all but the coarsest cage (`usual`), or by
 * chance only (`shape`: the ring just shapes the surface).
 */
export type LoopNeed = 'always' | 'usual' | 'shape';

/** The key ring that existing points already form. */
export const existingRing = (cage: HalfCage, ring: readonly number[]): KeyRing => ({
  points: ring.map((p) => cage.position(p)),
  weights: ring.map((p) => cage.weights(p)),
  loop: 'always',
});

export interface LoftOptions {
  readonly isClosed: boolean;
  /** Part of the band that starts at each key ring. */
  readonly part: (key: number) => number;
  /** Wanted distance between rings; Infinity asks for the coarsest cage. */
  readonly spacing: number;
  /** Existing points for the first ring. */
  readonly first?: readonly number[];
  /** Faces that stay away, by the key their band starts at and the place round the ring; such a band is not split. */
  readonly hole?: (key: number, place: number) => boolean;
}

/**
 * Joins key rings by bands of quads, with as many rings between as the spacing asks for. Faces look away
 * from the tube's inside when the ring's points run clockwise seen along the direction of the loft.
 * Returns the points of the rings with a loop, in order.
 */
export function loft(cage: HalfCage, keys: readonly KeyRing[], options: LoftOptions): number[][] {
  const knots = [0];
  for (let i = 1; i < keys.length; i++)
    knots.push(knots[i - 1]! + meanDistance(keys[i - 1]!.points, keys[i]!.points));
  const isCoarse = options.spacing === Number.POSITIVE_INFINITY;
  const isKept = ({ loop }: KeyRing) => loop === 'always' || (loop === 'usual' && !isCoarse);
  const essential = keys.flatMap((key, i) => (isKept(key) || i === 0 || i === keys.length - 1 ? [i] : []));
  const weights = keys.map((key) =>
    Array.isArray(key.weights)
      ? (key.weights as number[][])
      : key.points.map(() => listWeights(key.weights as JointWeights)),
  );
  const addRing = (s: number): number[] => {
    const gap = findGap(knots, s);
    const t = (s - knots[gap]!) / (knots[gap + 1]! - knots[gap]!);
    return keys[0]!.points.map((_, k) => {
      const coordinate = (axis: 0 | 1 | 2) => interpolate(keys, knots, gap, t, (key) => key.points[k]![axis]);
      const from = weights[gap]![k]!;
      const to = weights[gap + 1]![k]!;
      return cage.point(
        [coordinate(0), coordinate(1), coordinate(2)],
        from.map((w, joint) => (1 - t) * w + t * to[joint]!),
      );
    });
  };
  const size = keys[0]!.points.length;
  const rings: number[][] = [];
  let previous = options.first ? [...options.first] : addRing(0);
  rings.push(previous);
  for (let e = 0; e + 1 < essential.length; e++) {
    const from = essential[e]!;
    const to = essential[e + 1]!;
    const hasHole =
      options.hole !== undefined &&
      Array.from({ length: size }, (_, k) => options.hole!(from, k)).some(Boolean);
    const length = knots[to]! - knots[from]!;
    const pieces = hasHole ? 1 : Math.max(1, Math.round(length / options.spacing));
    for (let piece = 1; piece <= pieces; piece++) {
      const isEnd = piece === pieces;
      const s = isEnd ? knots[to]! : knots[from]! + (length * piece) / pieces;
      const ring = addRing(s);
      for (let k = 0; k < (options.isClosed ? size : size - 1); k++) {
        if (hasHole && options.hole!(from, k)) continue;
        const n = (k + 1) % size;
        cage.quad(
          previous[k]!,
          previous[n]!,
          ring[n]!,
          ring[k]!,
          options.part(findGap(knots, s - 1e-9 * length)),
        );
      }
      previous = ring;
    }
    rings.push(previous);
  }
  return rings;
}

function findGap(knots: readonly number[], s: number): number {
  let gap = 0;
  while (gap + 2 < knots.length && knots[gap + 1]! <= s) gap++;
  return gap;
}

/** Cubic Hermite through the keys with finite-difference slopes (Catmull–Rom with uneven knots). */
function interpolate(
  keys: readonly KeyRing[],
  knots: readonly number[],
  gap: number,
  t: number,
  value: (key: KeyRing) => number,
): number {
  const a = value(keys[gap]!);
  if (t === 0 || gap + 1 >= keys.length) return a;
  const b = value(keys[gap + 1]!);
  if (t === 1) return b;
  const span = knots[gap + 1]! - knots[gap]!;
  const slope = (b - a) / span;
  const before = gap > 0 ? (b - value(keys[gap - 1]!)) / (knots[gap + 1]! - knots[gap - 1]!) : slope;
  const after = gap + 2 < keys.length ? (value(keys[gap + 2]!) - a) / (knots[gap + 2]! - knots[gap]!) : slope;
  const t2 = t * t;
  const t3 = t2 * t;
  return (
    (2 * t3 - 3 * t2 + 1) * a +
    (t3 - 2 * t2 + t) * span * before +
    (-2 * t3 + 3 * t2) * b +
    (t3 - t2) * span * after
  );
}

function meanDistance(a: readonly Vec3[], b: readonly Vec3[]): number {
  let sum = 0;
  for (let k = 0; k < a.length; k++)
    sum += Math.hypot(a[k]![0] - b[k]![0], a[k]![1] - b[k]![1], a[k]![2] - b[k]![2]);
  return Math.max(sum / a.length, 1e-6);
}

/** The rotation of the ring that lies nearest to the base, so that the tube does not start with a twist. */
export function alignRing(ring: readonly Vec3[], base: readonly Vec3[]): Vec3[] {
  const rotate = (turn: number) => ring.map((_, k) => ring[(k + turn) % ring.length]!);
  const distance = (turned: readonly Vec3[]) =>
    turned.reduce((sum, p, k) => sum + length(subtract(p, base[k]!)), 0);
  return ring
    .map((_, turn) => rotate(turn))
    .reduce((best, turned) => (distance(turned) < distance(best) ? turned : best));
}
