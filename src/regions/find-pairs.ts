import type { AxisFrame } from '../fields/index.js';
import { dot, normalize, subtract } from '../math/index.js';
import type { Branch } from './branch-tree.js';
import type { Shape } from './measure-shape.js';

/** Most difference (of the logarithms) between the lengths, areas and girths of two that make a pair. */
const LIKE = [0.4, 0.7, 0.6] as const;
/** The same for limbs that stride: one may have its base at the knee. */
const LIKE_LIMBS = [0.55, 0.8, 0.75] as const;
/** Roundness of limbs that make a pair: a wing is no partner of an arm. */
const LIKE_ROUNDNESS = 0.6;
/** The line through the bases of a pair runs across the body: one less the cosine of the angle to its side axis. */
const MOST_ASKEW = 0.6;
/** Limbs have at least this share of the area of the largest branch. */
const LIMB_SHARE = 0.25;

/** Two branches that are each other's like on the other side. */
export interface Pair {
  readonly left: number;
  readonly right: number;
  /** How unlike they are, and how askew their bases lie; 0 for mirror images. */
  readonly cost: number;
}

/** Both of every pair. */
export const listPaired = (pairs: readonly Pair[]): number[] =>
  pairs.flatMap(({ left, right }) => [left, right]);

/** Limbs are rounder than this: those measured had 0.72 to 1.1, wings 0.19 to 0.25. */
export const FLATTEST_LIMB = 0.4;

/** Whether a pair are wings rather than limbs. */
export const areFlat = (a: Shape, b: Shape): boolean => a.roundness + b.roundness < 2 * FLATTEST_LIMB;

export interface PairOptions {
  /**
   * Until there are two pairs of large branches, those left over may pair however their bases lie: legs that
   * stride, limbs of a body turned away from its axes.
   * @defaultValue false
   */
  readonly hasLimbs?: boolean;
}

/** Pairs of like branches, largest first. */
export function findPairs(
  branches: readonly Branch[],
  shapes: readonly Shape[],
  among: readonly number[],
  frame: AxisFrame,
  { hasLimbs = false }: PairOptions = {},
): Pair[] {
  const largest = among.reduce((most, b) => Math.max(most, branches[b]!.area), 0);
  const isLarge = (a: number, b: number) =>
    Math.min(branches[a]!.area, branches[b]!.area) >= LIMB_SHARE * largest;
  const offers: { a: number; b: number; isAskew: boolean; cost: number }[] = [];
  for (const a of among)
    for (const b of among) {
      if (a >= b) continue;
      const x = branches[a]!;
      const y = branches[b]!;
      const ratios = [x.base.level / y.base.level, x.area / y.area, x.base.length / y.base.length].map((r) =>
        Math.abs(Math.log(r)),
      );
      const across = normalize(subtract(shapes[a]!.base, shapes[b]!.base));
      const aside = 1 - Math.abs(dot(across, frame.side));
      const isLike = aside <= MOST_ASKEW && ratios.every((ratio, i) => ratio <= LIKE[i]!);
      const areLimbs =
        hasLimbs &&
        Math.abs(Math.log(shapes[a]!.roundness / shapes[b]!.roundness)) <= LIKE_ROUNDNESS &&
        isLarge(a, b) &&
        ratios.every((ratio, i) => ratio <= LIKE_LIMBS[i]!);
      if (!isLike && !areLimbs) continue;
      offers.push({ a, b, isAskew: !isLike, cost: ratios[0]! + ratios[1]! + ratios[2]! + 1.5 * aside });
    }
  offers.sort((x, y) => Number(x.isAskew) - Number(y.isAskew) || x.cost - y.cost || x.a - y.a || x.b - y.b);
  const isTaken = new Set<number>();
  const pairs: Pair[] = [];
  let limbPairs = 0;
  for (const { a, b, isAskew, cost } of offers) {
    if (isTaken.has(a) || isTaken.has(b) || (isAskew && limbPairs >= 2)) continue;
    if (isLarge(a, b) && !areFlat(shapes[a]!, shapes[b]!)) limbPairs++;
    isTaken.add(a).add(b);
    const isLeft = dot(subtract(shapes[a]!.base, shapes[b]!.base), frame.side) >= 0;
    pairs.push({ left: isLeft ? a : b, right: isLeft ? b : a, cost });
  }
  return pairs.sort((p, q) => branches[q.left]!.area - branches[p.left]!.area || p.left - q.left);
}
