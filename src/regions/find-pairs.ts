import type { AxisFrame } from '../fields/index.js';
import { dot, normalize, subtract } from '../math/index.js';
import type { Branch } from './branch-tree.js';
import type { Shape } from './measure-shape.js';

/** The line through the bases of a pair runs across the body: one less the cosine of the angle to its side axis. */
const MOST_ASKEW = 0.6;

/** Pairs of like branches, each as [left, right], largest first. */
export function findPairs(
  branches: readonly Branch[],
  shapes: readonly Shape[],
  among: readonly number[],
  frame: AxisFrame,
): [number, number][] {
  const offers: { a: number; b: number; cost: number }[] = [];
  for (const a of among)
    for (const b of among) {
      if (a >= b) continue;
      const x = branches[a]!;
      const y = branches[b]!;
      const ratios = [x.base.level / y.base.level, x.area / y.area, x.base.length / y.base.length].map((r) =>
        Math.abs(Math.log(r)),
      );
      if (ratios[0]! > 0.4 || ratios[1]! > 0.7 || ratios[2]! > 0.6) continue;
      const across = normalize(subtract(shapes[a]!.base, shapes[b]!.base));
      const aside = 1 - Math.abs(dot(across, frame.side));
      if (aside > MOST_ASKEW) continue;
      offers.push({ a, b, cost: ratios[0]! + ratios[1]! + ratios[2]! + 1.5 * aside });
    }
  offers.sort((x, y) => x.cost - y.cost || x.a - y.a || x.b - y.b);
  const isTaken = new Set<number>();
  const pairs: [number, number][] = [];
  for (const { a, b } of offers) {
    if (isTaken.has(a) || isTaken.has(b)) continue;
    isTaken.add(a).add(b);
    const isLeft = dot(subtract(shapes[a]!.base, shapes[b]!.base), frame.side) >= 0;
    pairs.push(isLeft ? [a, b] : [b, a]);
  }
  return pairs.sort((p, q) => branches[q[0]]!.area - branches[p[0]]!.area || p[0] - q[0]);
}
