import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildAdjacency } from '../../src/linalg/adjacency.js';
import { buildEliminationTree, invertPermutation, postorder } from '../../src/linalg/elimination-tree.js';
import type { RelaxRule } from '../../src/linalg/find-supernodes.js';
import { findSupernodes, RELAX_RULES } from '../../src/linalg/find-supernodes.js';
import type { Triplets } from './systems.js';
import { assemble, eliminate, positiveSystems } from './systems.js';

/** A system's factor by sets, in postorder, with what findSupernodes is given. */
function factorBySets(system: Triplets, weightOf: (column: number) => number) {
  const natural = Int32Array.from({ length: system.size }, (_, i) => i);
  const tree = buildEliminationTree(buildAdjacency(assemble(system)), natural, natural);
  const order = postorder(tree);
  const ranks = invertPermutation(order);
  const parents = Int32Array.from(order, (node) => (tree[node]! < 0 ? -1 : ranks[tree[node]!]!));
  const columns = eliminate(system, order);
  const weights = Int32Array.from(order, (_, j) => weightOf(j));
  const counts = Int32Array.from(columns, (rows) => weigh(rows, weights));
  return { columns, parents, weights, counts };
}

const weigh = (columns: Iterable<number>, weights: Int32Array) =>
  [...columns].reduce((sum, j) => sum + weights[j]!, 0);

const rowsBelow = (columns: readonly Set<number>[], j: number) =>
  [...columns[j]!].filter((row) => row > j).sort((a, b) => a - b);

const membersOf = (labels: Int32Array, s: number) => [...labels.keys()].filter((j) => labels[j] === s);

const merge = (zeroShare: number): RelaxRule[] => [{ width: Infinity, zeroShare }];

describe('findSupernodes', () => {
  it('joins each column with one of the children that hand on all their rows to it', () => {
    fc.assert(
      fc.property(positiveSystems(30), fc.nat(2), (system, spread) => {
        const { columns, parents, weights, counts } = factorBySets(system, (j) => 1 + (j % (spread + 1)));
        const forest = findSupernodes(parents, counts, weights, []);
        const labels = forest.columnSupernodes;
        for (let j = 0; j < system.size; j++) {
          const children = [...parents.keys()].filter((c) => parents[c] === j);
          const heirs = children.filter(
            (c) => rowsBelow(columns, c).join() === [j, ...rowsBelow(columns, j)].join(),
          );
          const joined = children.filter((c) => labels[c] === labels[j]);
          expect(joined).toHaveLength(Math.min(1, heirs.length));
          expect(heirs).toEqual(expect.arrayContaining(joined));
        }
        expect(new Set(labels).size).toBe(forest.count);
      }),
    );
  });

  it('numbers children first, each under the supernode of its first row below', () => {
    fc.assert(
      fc.property(positiveSystems(30), fc.constantFrom([], RELAX_RULES, merge(0.3)), (system, rules) => {
        const { columns, parents, weights, counts } = factorBySets(system, () => 1);
        const forest = findSupernodes(parents, counts, weights, rules);
        for (let s = 0; s < forest.count; s++) {
          const below = rowsBelow(columns, membersOf(forest.columnSupernodes, s).at(-1)!);
          const parent = below.length === 0 ? -1 : forest.columnSupernodes[below[0]!]!;
          expect(forest.parents[s]).toBe(parent);
          if (parent >= 0) expect(parent).toBeGreaterThan(s);
        }
      }),
    );
  });

  it('stores no more zeros than the rule for its width allows', () => {
    fc.assert(
      fc.property(
        positiveSystems(30),
        fc.nat(2),
        fc.constantFrom(RELAX_RULES, merge(0.3), merge(0.05)),
        (system, spread, rules) => {
          const { columns, parents, weights, counts } = factorBySets(system, (j) => 1 + (j % (spread + 1)));
          const forest = findSupernodes(parents, counts, weights, rules);
          for (let s = 0; s < forest.count; s++) {
            const members = membersOf(forest.columnSupernodes, s);
            const width = weigh(members, weights);
            const entries =
              (width * (width + 1)) / 2 + width * weigh(rowsBelow(columns, members.at(-1)!), weights);
            const filled = members.reduce(
              (sum, j) => sum + weights[j]! * counts[j]! - (weights[j]! * (weights[j]! - 1)) / 2,
              0,
            );
            const rule = rules.find((each) => width <= each.width)!;
            expect(entries - filled).toBeGreaterThanOrEqual(0);
            if (members.length > 1) expect(entries - filled).toBeLessThanOrEqual(rule.zeroShare * entries);
          }
        },
      ),
    );
  });

  it('merges whole trees where any zeros are allowed, and nothing where a merge stores one too many', () => {
    // Columns 0 and 1 under 2, which has two rows below it, 3 and 4; column 0 has row 4, column 1 none of the two.
    const parents = Int32Array.of(2, 2, 3, 4, -1);
    const counts = Int32Array.of(3, 2, 3, 2, 1);
    const ones = new Int32Array(5).fill(1);
    const labels = (rules: readonly RelaxRule[], weights = ones) => [
      ...findSupernodes(parents, counts, weights, rules).columnSupernodes,
    ];
    expect(labels([])).toEqual([0, 1, 2, 2, 2]);
    expect(labels(merge(1))).toEqual([0, 0, 0, 0, 0]);
    // Column 0 beside 2, 3 and 4 leaves one of 10 entries empty; column 1 as well leaves 1 + 3 of 15.
    expect(labels(merge(0.1))).toEqual([1, 0, 1, 1, 1]);
    expect(labels(merge(0.099))).toEqual([0, 1, 2, 2, 2]);
    expect(labels(merge(4 / 15))).toEqual([0, 0, 0, 0, 0]);
    expect(labels(merge(0.26))).toEqual([1, 0, 1, 1, 1]);
    // The first rule that is wide enough decides, and beyond the last nothing is merged.
    expect(labels([{ width: 4, zeroShare: 0.2 }])).toEqual([1, 0, 1, 1, 1]);
    expect(labels([{ width: 3, zeroShare: 1 }])).toEqual([0, 1, 2, 2, 2]);
    expect(labels([{ width: 4, zeroShare: 0 }, ...merge(1)])).toEqual([0, 1, 2, 2, 2]);
  });
});
