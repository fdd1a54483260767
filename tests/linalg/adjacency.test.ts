import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Adjacency } from '../../src/linalg/adjacency.js';
import { buildAdjacency, groupAdjacency } from '../../src/linalg/adjacency.js';
import { listMembers } from '../../src/structures/index.js';
import type { Triplets } from './systems.js';
import { assemble, laplacian, positiveSystems } from './systems.js';

const listsOf = ({ size, offsets, neighbours }: Adjacency) =>
  Array.from({ length: size }, (_, v) => [...neighbours.subarray(offsets[v], offsets[v + 1])]);

/** Neighbours of every label, by sets. */
function neighboursBySets({ rows, columns }: Triplets, labels: readonly number[], count: number) {
  const sets = Array.from({ length: count }, () => new Set<number>());
  rows.forEach((row, t) => {
    const a = labels[row]!;
    const b = labels[columns[t]!]!;
    if (a === b) return;
    sets[a]!.add(b);
    sets[b]!.add(a);
  });
  return sets.map((set) => [...set].sort((a, b) => a - b));
}

describe('graphs of matrices', () => {
  it('have every entry off the diagonal both ways, ascending', () => {
    const path = assemble(
      laplacian(
        4,
        [
          [0, 2, 1],
          [2, 1, 1],
          [3, 2, 1],
        ],
        [1],
      ),
    );
    expect(buildAdjacency(path)).toEqual({
      size: 4,
      offsets: Int32Array.of(0, 1, 2, 5, 6),
      neighbours: Int32Array.of(2, 2, 0, 1, 3, 2),
    });
    fc.assert(
      fc.property(positiveSystems(40), (system) => {
        const graph = buildAdjacency(assemble(system));
        const labels = Array.from({ length: system.size }, (_, i) => i);
        expect(listsOf(graph)).toEqual(neighboursBySets(system, labels, system.size));
        expect(graph.offsets).toHaveLength(system.size + 1);
        expect(graph.neighbours).toHaveLength(graph.offsets[system.size]!);
      }),
    );
  });

  it('have groups beside one another once, however many of their members are', () => {
    fc.assert(
      fc.property(positiveSystems(40), fc.integer({ min: 1, max: 12 }), (system, count) => {
        const labels = Int32Array.from({ length: system.size }, (_, i) => (i * 7) % count);
        const graph = groupAdjacency(assemble(system), labels, listMembers(labels, count));
        const lists = listsOf(graph);
        expect(lists.map((list) => [...list].sort((a, b) => a - b))).toEqual(
          neighboursBySets(system, [...labels], count),
        );
        expect(graph.size).toBe(count);
        expect(graph.offsets).toHaveLength(count + 1);
        expect(graph.neighbours).toHaveLength(graph.offsets[count]!);
      }),
    );
  });
});
