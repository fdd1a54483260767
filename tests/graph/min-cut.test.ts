import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { FlowNetwork } from '../../src/graph/index.js';
import { computeMinCut } from '../../src/graph/index.js';

type Edge = readonly [number, number, number];

function network(nodeCount: number, edges: readonly Edge[]): FlowNetwork {
  const around: { head: number; capacity: number; edge: number }[][] = Array.from(
    { length: nodeCount },
    () => [],
  );
  edges.forEach(([a, b, capacity], edge) => {
    around[a]!.push({ head: b, capacity, edge });
    around[b]!.push({ head: a, capacity, edge });
  });
  const arcs = around.flatMap((list, tail) => list.map((arc) => ({ ...arc, tail })));
  const arcOffsets = new Int32Array(nodeCount + 1);
  for (let i = 0; i < nodeCount; i++) arcOffsets[i + 1] = arcOffsets[i]! + around[i]!.length;
  return {
    nodeCount,
    arcOffsets,
    arcHeads: Int32Array.from(arcs, (a) => a.head),
    arcSisters: Int32Array.from(arcs, (a) => arcs.findIndex((b) => b.edge === a.edge && b.tail !== a.tail)),
    arcCapacities: Float64Array.from(arcs, (a) => a.capacity),
  };
}

const cutValue = (edges: readonly Edge[], isSource: (node: number) => boolean) =>
  edges.reduce((sum, [a, b, capacity]) => sum + (isSource(a) !== isSource(b) ? capacity : 0), 0);

const GRAPHS = fc.integer({ min: 2, max: 9 }).chain((nodeCount) =>
  fc.record({
    nodeCount: fc.constant(nodeCount),
    edges: fc.array(
      fc
        .tuple(fc.nat(nodeCount - 1), fc.nat(nodeCount - 1), fc.integer({ min: 0, max: 12 }))
        .filter(([a, b]) => a !== b),
      { maxLength: 26 },
    ),
  }),
);

describe('computeMinCut', () => {
  test('against every cut there is, on small random networks', () => {
    fc.assert(
      fc.property(GRAPHS, ({ nodeCount, edges }) => {
        const inner = computeMinCut(network(nodeCount, edges), [0], [nodeCount - 1]);
        let best = Infinity;
        const minima: number[] = [];
        for (let mask = 1; mask < 2 ** (nodeCount - 1); mask += 2) {
          const value = cutValue(edges, (node) => ((mask >> node) & 1) === 1);
          if (value < best) {
            best = value;
            minima.length = 0;
          }
          if (value === best) minima.push(mask);
        }
        expect(cutValue(edges, (node) => inner[node] === 1)).toBe(best);
        // The least side is the intersection of all cheapest ones.
        for (let node = 0; node < nodeCount; node++)
          expect(inner[node]).toBe(minima.every((mask) => (mask >> node) & 1) ? 1 : 0);
      }),
      { numRuns: 300 },
    );
  });

  test('several sources and sinks are kept apart', () => {
    const edges: Edge[] = [
      [0, 1, 5],
      [1, 2, 1],
      [2, 3, 5],
      [3, 4, 2],
      [4, 5, 7],
    ];
    expect([...computeMinCut(network(6, edges), [0, 5], [3])]).toEqual([1, 1, 0, 0, 1, 1]);
  });

  test('against shortest augmenting paths, on grids where flow has to be taken back', () => {
    const side = 9;
    const grids = fc.array(fc.integer({ min: 0, max: 9 }), {
      minLength: 2 * side * side,
      maxLength: 2 * side * side,
    });
    const places = fc.uniqueArray(fc.nat(side * side - 1), { minLength: 5, maxLength: 5 });
    fc.assert(
      fc.property(grids, places, (capacities, [s1, s2, t1, t2, t3]) => {
        const edges: Edge[] = [];
        for (let i = 0; i < side * side; i++) {
          if (i % side < side - 1) edges.push([i, i + 1, capacities[2 * i]!]);
          if (i + side < side * side) edges.push([i, i + side, capacities[2 * i + 1]!]);
        }
        const given = network(side * side, edges);
        const before = structuredClone(given);
        const inner = computeMinCut(given, [s1!, s2!], [t1!, t2!, t3!]);
        expect(given).toEqual(before);
        const flow = maximumFlow(given, [s1!, s2!], [t1!, t2!, t3!]);
        expect(cutValue(edges, (node) => inner[node] === 1)).toBe(flow);
        expect([s1, s2, t1, t2, t3].map((node) => inner[node!])).toEqual([1, 1, 0, 0, 0]);
      }),
      { numRuns: 60 },
    );
  });

  test('a chain of more nodes than are kept in work at once', () => {
    const count = 140_000;
    const edges = Array.from({ length: count }, (_, i): Edge => [i, i + 1, i === 99_999 ? 2 : 5]);
    expect(computeMinCut(chain(count + 1, edges), [0], [count]).lastIndexOf(1)).toBe(99_999);
  });

  test('a long chain of bottlenecks is cut at the narrowest', () => {
    const edges = Array.from(
      { length: 3000 },
      (_, i): Edge => [i, i + 1, i === 1234 ? 3 : 10 + ((i * 7919) % 13)],
    );
    expect(computeMinCut(chain(3001, edges), [0], [3000]).reduce((a, b) => a + b, 0)).toBe(1235);
  });
});

/** Greatest flow by shortest augmenting paths (Edmonds & Karp 1972). */
function maximumFlow(
  { nodeCount, arcOffsets, arcHeads, arcSisters, arcCapacities }: FlowNetwork,
  sources: readonly number[],
  sinks: readonly number[],
): number {
  const left = arcCapacities.slice();
  for (let flow = 0; ; ) {
    const arcTo = new Int32Array(nodeCount).fill(-1);
    const queue = [...sources];
    let end = -1;
    for (let i = 0; i < queue.length && end < 0; i++) {
      if (sinks.includes(queue[i]!)) end = queue[i]!;
      for (let a = arcOffsets[queue[i]!]!; a < arcOffsets[queue[i]! + 1]!; a++) {
        const head = arcHeads[a]!;
        if (left[a]! <= 0 || arcTo[head]! >= 0 || sources.includes(head)) continue;
        arcTo[head] = a;
        queue.push(head);
      }
    }
    if (end < 0) return flow;
    const path: number[] = [];
    for (let node = end; arcTo[node]! >= 0; node = arcHeads[arcSisters[arcTo[node]!]!]!)
      path.push(arcTo[node]!);
    const amount = Math.min(...path.map((a) => left[a]!));
    for (const a of path) {
      left[a]! -= amount;
      left[arcSisters[a]!]! += amount;
    }
    flow += amount;
  }
}

/** The same for a path, where the sister is known without a search. */
function chain(nodeCount: number, edges: readonly Edge[]): FlowNetwork {
  const arcOffsets = Int32Array.from({ length: nodeCount + 1 }, (_, i) =>
    i === 0 ? 0 : i === nodeCount ? 2 * edges.length : 2 * i - 1,
  );
  const arcHeads = new Int32Array(2 * edges.length);
  const arcSisters = new Int32Array(2 * edges.length);
  const arcCapacities = new Float64Array(2 * edges.length);
  edges.forEach(([a, b, capacity]) => {
    const forward = arcOffsets[a + 1]! - 1;
    const back = arcOffsets[b]!;
    arcHeads[forward] = b;
    arcHeads[back] = a;
    arcSisters[forward] = back;
    arcSisters[back] = forward;
    arcCapacities[forward] = arcCapacities[back] = capacity;
  });
  return { nodeCount, arcOffsets, arcHeads, arcSisters, arcCapacities };
}
