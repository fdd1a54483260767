import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildAdjacency } from '../../src/linalg/adjacency.js';
import { coverCut } from '../../src/linalg/cover-cut.js';
import { assemble, laplacian, permutationOf } from './systems.js';

type Edge = readonly [number, number];

const graphOf = (size: number, edges: readonly Edge[]) =>
  buildAdjacency(
    assemble(
      laplacian(
        size,
        edges.map(([a, b]) => [a, b, 1] as const),
        new Array<number>(size).fill(1),
      ),
    ),
  );

/** Size of the least vertex cover, by trying every choice of nodes. */
function leastCover(size: number, cut: readonly Edge[]): number {
  let least = Infinity;
  for (let chosen = 0; chosen < 2 ** size; chosen++) {
    if (!cut.every(([a, b]) => ((chosen >> a) | (chosen >> b)) & 1)) continue;
    let count = 0;
    for (let bits = chosen; bits > 0; bits &= bits - 1) count++;
    least = Math.min(least, count);
  }
  return least;
}

describe('coverCut', () => {
  it('takes the one node that every edge across the cut has', () => {
    const edges: Edge[] = [
      [0, 3],
      [1, 3],
      [2, 3],
      [3, 4],
      [0, 1],
    ];
    const sorted = Int32Array.of(0, 1, 2, 3, 4);
    expect([...coverCut(graphOf(5, edges), sorted, 3, new Int32Array(5), 0)]).toEqual([3]);
    expect([...coverCut(graphOf(5, edges), sorted, 4, new Int32Array(5), 0)]).toHaveLength(1);
    expect([...coverCut(graphOf(5, []), sorted, 3, new Int32Array(5), 0)]).toEqual([]);
  });

  it('is a least vertex cover of the edges across the cut, and leaves the parts as they were', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 2, max: 11 }).chain((size) =>
          fc.record({
            keys: fc.array(fc.double({ noNaN: true }), { minLength: size, maxLength: size }),
            low: fc.integer({ min: 1, max: size - 1 }),
            outside: fc.nat(2),
            edges: fc.array(
              fc.tuple(fc.nat(size - 1), fc.nat(size - 1)).filter(([a, b]) => a !== b),
              { maxLength: 3 * size },
            ),
          }),
        ),
        ({ keys, low, outside, edges }) => {
          const size = keys.length;
          // Some nodes are of another part: neither sorted nor counted.
          const sorted = permutationOf(keys).slice(0, Math.max(low + 1, size - outside));
          const parts = new Int32Array(size).fill(5);
          for (const node of sorted) parts[node] = 3;
          const before = parts.slice();
          const cover = coverCut(graphOf(size, edges), Int32Array.from(sorted), low, parts, 3);
          expect(parts).toEqual(before);
          const isLow = new Set(sorted.slice(0, low));
          const isHigh = new Set(sorted.slice(low));
          const cut = edges.filter(
            ([a, b]) => (isLow.has(a) && isHigh.has(b)) || (isLow.has(b) && isHigh.has(a)),
          );
          const covered = new Set(cover);
          expect(covered.size).toBe(cover.length);
          for (const [a, b] of cut) expect(covered.has(a) || covered.has(b)).toBe(true);
          expect(cover).toHaveLength(leastCover(size, cut));
        },
      ),
      { numRuns: 200 },
    );
  });
});
