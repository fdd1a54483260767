import type { AxisFrame } from '../fields/index.js';
import type { Vec3 } from '../math/index.js';
import { dot, normalize, subtract } from '../math/index.js';
import type { Branch } from './branch-tree.js';
import { listGrowths, slenderness } from './branch-tree.js';
import type { Pair } from './find-pairs.js';
import { findPairs, listPaired } from './find-pairs.js';
import type { Shape } from './measure-shape.js';

/** The branches of a shell, seen with up and front. */
export interface BodyView {
  readonly branches: readonly Branch[];
  readonly shapes: readonly Shape[];
  /** Area centroid of what belongs to no branch. */
  readonly middle: Vec3;
  readonly frame: AxisFrame;
}

/** What a pair counts for beside its cost and the likeness of a head. */
const PAIR_WORTH = 3;
/** Arms, legs, and wings or a head that was taken for one of them. */
const PAIRS_TRIED = 3;
/** A head has at least this share of the area of one of the largest pair of limbs. */
const SMALLEST_HEAD = 0.1;
/** Most difference between the areas of the fingers of a hand. */
const FINGER_RANGE = 4;

/**
 * Pairs among the roots. A head may be more like one arm than the other arm is, if that is bent, so of the largest
 * each is tried as the head.
 */
export function pairRoots(body: BodyView, roots: readonly number[]): Pair[] {
  const pairUp = (among: readonly number[]) =>
    findPairs(body.branches, body.shapes, among, body.frame, { hasLimbs: true });
  const likeness = new Map(roots.map((b) => [b, headLikeness(body, b)]));
  const worth = (pairs: readonly Pair[]) => {
    const free = new Map(likeness);
    for (const b of listPaired(pairs)) free.delete(b);
    return pairs.reduce((sum, { cost }) => sum + PAIR_WORTH - cost, Math.max(0, ...free.values()));
  };
  const found = pairUp(roots);
  let best = found;
  for (const b of listPaired(found.slice(0, PAIRS_TRIED))) {
    const others = pairUp(roots.filter((other) => other !== b));
    if (worth(others) > worth(best)) best = others;
  }
  return best;
}

/**
 * The branch most like a head: with pockets or pairs of its own, high up or in front; -1 for none.
 *
 * @param single - roots without a partner
 * @param pairs - the other roots, largest first
 */
export function findHead(body: BodyView, single: readonly number[], pairs: readonly Pair[]): number {
  const { branches } = body;
  let best = -1;
  // Without limbs in pairs only a face makes a head.
  let bestScore = pairs.length > 0 ? 0.3 : 0.8;
  const [widest] = pairs;
  for (const b of single) {
    if (widest && branches[b]!.area < SMALLEST_HEAD * branches[widest.left]!.area) continue;
    const score = headLikeness(body, b);
    if (score > bestScore) {
      bestScore = score;
      best = b;
    }
  }
  if (best >= 0 || pairs.length < 2) return best;
  // Two pairs of limbs and one stout branch beside them: a head, wherever it points.
  const stout = single.filter(
    (b) =>
      branches[b]!.area > 0.25 * branches[widest!.left]!.area &&
      branches[b]!.area > 0.8 * branches[b]!.base.level * branches[b]!.base.length,
  );
  return stout.length === 1 ? stout[0]! : -1;
}

/** High for what has pockets or pairs of its own, lies high up or in front, and is not long and thin. */
function headLikeness({ branches, shapes, middle, frame }: BodyView, b: number): number {
  const branch = branches[b]!;
  const towards = normalize(subtract(shapes[b]!.centre, middle));
  const isRod = branch.area < 1.1 * branch.base.level * branch.base.length && slenderness(branch) > 6;
  const hasFace =
    branch.children.some((c) => branches[c]!.isPocket) ||
    (!(isRod && hasFingers(branches, b)) && findPairs(branches, shapes, branch.children, frame).length > 0);
  return (
    (hasFace ? 0.8 : 0) +
    0.7 * Math.max(0, dot(towards, frame.up)) +
    0.4 * Math.max(0, dot(towards, frame.front)) +
    (isRod ? -0.4 : 0)
  );
}

/** Fingers make pairs, too, but more than two of a size. */
function hasFingers(branches: readonly Branch[], b: number): boolean {
  const areas = listGrowths(branches, b).map((c) => branches[c]!.area);
  return areas.length > 2 && Math.max(...areas) < FINGER_RANGE * Math.min(...areas);
}
