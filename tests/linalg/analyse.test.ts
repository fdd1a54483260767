import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Adjacency } from '../../src/linalg/adjacency.js';
import { buildAdjacency } from '../../src/linalg/adjacency.js';
import { countColumns } from '../../src/linalg/count-columns.js';
import { coverCut } from '../../src/linalg/cover-cut.js';
import { buildEliminationTree, invertPermutation, postorder } from '../../src/linalg/elimination-tree.js';
import { analyse, LdlSolver } from '../../src/linalg/index.js';
import { orderByMinimumDegree } from '../../src/linalg/order-minimum-degree.js';
import { orderByNestedDissection } from '../../src/linalg/order-nested-dissection.js';
import type { Triplets } from './systems.js';
import {
  assemble,
  backwardError,
  eliminate,
  gridEdges,
  laplacian,
  positiveSystems,
  sineVector,
} from './systems.js';

const isPermutation = (order: Int32Array) => [...order].sort((a, b) => a - b).every((node, i) => node === i);

const fillOf = (system: Triplets, order: Int32Array) =>
  eliminate(system, order).reduce((sum, column) => sum + column.size, 0);

/** The system with every entry between members of groups that are neighbours, or the same. */
function fillGroups(system: Triplets, groups: Int32Array): Triplets {
  const beside = new Set(system.rows.map((row, t) => `${groups[row]} ${groups[system.columns[t]!]}`));
  const rows: number[] = [];
  const columns: number[] = [];
  for (let i = 0; i < system.size; i++)
    for (let j = 0; j < i; j++) {
      const [a, b] = [groups[i], groups[j]];
      if (a !== b && !beside.has(`${a} ${b}`) && !beside.has(`${b} ${a}`)) continue;
      rows.push(i);
      columns.push(j);
    }
  return { ...system, rows, columns, values: rows.map(() => 1) };
}

/** Order in which each node has the fewest neighbours of those left, by sets; the lowest of several. */
function eliminateLeast(system: Triplets): Int32Array {
  const beside = Array.from({ length: system.size }, () => new Set<number>());
  system.rows.forEach((row, t) => {
    if (row === system.columns[t]) return;
    beside[row]!.add(system.columns[t]!);
    beside[system.columns[t]!]!.add(row);
  });
  const left = new Set(beside.keys());
  return Int32Array.from(beside, () => {
    const pivot = [...left].reduce((best, i) => (beside[i]!.size < beside[best]!.size ? i : best));
    left.delete(pivot);
    for (const i of beside[pivot]!) {
      beside[i]!.delete(pivot);
      for (const j of beside[pivot]!) if (j !== i) beside[i]!.add(j);
    }
    return pivot;
  });
}

/** A grid of so many nodes along and across. */
function stripEdges(columns: number, rows: number): [number, number, number][] {
  const edges: [number, number, number][] = [];
  for (let i = 0; i < columns; i++)
    for (let j = 0; j < rows; j++) {
      if (j + 1 < rows) edges.push([i * rows + j, i * rows + j + 1, 1]);
      if (i + 1 < columns) edges.push([i * rows + j, (i + 1) * rows + j, 1]);
    }
  return edges;
}

/** How many of the last nodes it takes away to part the graph, and the size of the largest part left. */
function findParting({ size, offsets, neighbours }: Adjacency, order: Int32Array) {
  for (let width = 1; ; width++) {
    const isSeen = new Uint8Array(size);
    for (const node of order.subarray(size - width)) isSeen[node] = 1;
    const parts: number[] = [];
    for (let start = 0; start < size; start++) {
      if (isSeen[start]) continue;
      const reached = [start];
      isSeen[start] = 1;
      for (const node of reached)
        for (const other of neighbours.subarray(offsets[node], offsets[node + 1]))
          if (!isSeen[other]) {
            isSeen[other] = 1;
            reached.push(other);
          }
      parts.push(reached.length);
    }
    if (parts.length > 1) return { width, largest: Math.max(...parts) };
  }
}

const naturalOrder = (size: number) => Int32Array.from({ length: size }, (_, i) => i);

describe('orderByMinimumDegree', () => {
  it('returns a permutation', () => {
    fc.assert(
      fc.property(positiveSystems(80), (system) => {
        expect(isPermutation(orderByMinimumDegree(buildAdjacency(assemble(system))))).toBe(true);
      }),
      { numRuns: 300 },
    );
  });

  it('fills in hardly more than eliminating a node of least degree each time does', () => {
    let ordered = 0;
    let exact = 0;
    fc.assert(
      fc.property(positiveSystems(60), (system) => {
        const own = fillOf(system, orderByMinimumDegree(buildAdjacency(assemble(system))));
        const least = fillOf(system, eliminateLeast(system));
        expect(own).toBeLessThanOrEqual(1.25 * least + 4);
        ordered += own;
        exact += least;
      }),
      { numRuns: 100 },
    );
    expect(ordered).toBeLessThan(1.02 * exact);
    const side = 24;
    const grid = laplacian(side * side, gridEdges(side), new Array<number>(side * side).fill(1));
    expect(fillOf(grid, orderByMinimumDegree(buildAdjacency(assemble(grid))))).toBeLessThan(
      1.1 * fillOf(grid, eliminateLeast(grid)),
    );
  });

  it('eliminates nodes with the same neighbours one after the other', () => {
    // Two nodes at each place of a grid, joined to each other and to all nodes beside them.
    const side = 14;
    const n = side * side;
    const edges = [
      ...gridEdges(side).flatMap(([i, j]) =>
        [0, n].flatMap((a) => [0, n].map((b) => [i + a, j + b, 1] as const)),
      ),
      ...Array.from({ length: n }, (_, i) => [i, i + n, 1] as const),
    ];
    const order = orderByMinimumDegree(buildAdjacency(assemble(laplacian(2 * n, edges, [1]))));
    const ranks = invertPermutation(order);
    for (let i = 0; i < n; i++) expect(Math.abs(ranks[i]! - ranks[i + n]!)).toBe(1);
  });

  it('fills nothing in on a tree or a chordal band', () => {
    const tree = laplacian(
      63,
      Array.from({ length: 62 }, (_, i) => [i + 1, i >> 1, 1] as const),
      new Array<number>(63).fill(1),
    );
    expect(fillOf(tree, orderByMinimumDegree(buildAdjacency(assemble(tree))))).toBe(63 + 62);
    const band = laplacian(
      50,
      Array.from({ length: 97 }, (_, i) => [i >> 1, (i >> 1) + 1 + (i & 1), 1] as const),
      new Array<number>(50).fill(1),
    );
    expect(fillOf(band, orderByMinimumDegree(buildAdjacency(assemble(band))))).toBe(50 + 97);
  });

  it('puts a node with very many neighbours last', () => {
    const star = laplacian(
      400,
      Array.from({ length: 399 }, (_, i) => [0, i + 1, 1] as const),
      new Array<number>(400).fill(1),
    );
    expect(orderByMinimumDegree(buildAdjacency(assemble(star)))[399]).toBe(0);
  });

  it('fills in a grid far less than the order of its rows', () => {
    const side = 40;
    const system = laplacian(side * side, gridEdges(side), new Array<number>(side * side).fill(1));
    const ordered = fillOf(system, orderByMinimumDegree(buildAdjacency(assemble(system))));
    expect(ordered).toBeLessThan(0.5 * fillOf(system, naturalOrder(side * side)));
    // Nested dissection of an n × n grid needs 31/4 n² log2 n entries (George 1973, in the limit);
    // minimum degree is known to come close to it.
    expect(ordered).toBeLessThan(7.75 * side * side * Math.log2(side));
  });
});

describe('orderByNestedDissection', () => {
  it('returns a permutation of any graph', () => {
    fc.assert(
      fc.property(positiveSystems(600), (system) => {
        expect(isPermutation(orderByNestedDissection(buildAdjacency(assemble(system))))).toBe(true);
      }),
      { numRuns: 60 },
    );
  });

  it('fills in a grid about as little as minimum degree does', () => {
    const matrix = assemble(laplacian(10_000, gridEdges(100), [1]));
    const dissected = analyse(matrix, { ordering: orderByNestedDissection });
    expect(dissected.factorEntryCount).toBeLessThan(1.25 * analyse(matrix).factorEntryCount);
    const b = sineVector(10_000);
    expect(backwardError(matrix, new LdlSolver(dissected).factor(matrix.values).solve(b), b)).toBeLessThan(
      1e-14,
    );
  });

  it('orders up to 128 nodes by minimum degree, one component after the other', () => {
    const edges = gridEdges(11).map(([i, j]) => [i, j] as const);
    const scattered = (i: number, half: number) => 2 * ((37 * i) % 121) + half;
    const both = [0, 1].flatMap((half) =>
      edges.map(([i, j]) => [scattered(i, half), scattered(j, half), 1] as const),
    );
    const order = orderByNestedDissection(buildAdjacency(assemble(laplacian(242, both, [1]))));
    const alone = laplacian(
      121,
      edges.map(([i, j]) => [(37 * i) % 121, (37 * j) % 121, 1] as const),
      [1],
    );
    const expected = [...orderByMinimumDegree(buildAdjacency(assemble(alone)))];
    expect([...order]).toEqual([...expected.map((i) => 2 * i), ...expected.map((i) => 2 * i + 1)]);
  });

  it('puts last what parts the graph in two halves, and is not much wider than the graph', () => {
    for (const [columns, rows] of [
      [60, 20],
      [40, 40],
    ] as const) {
      const edges = stripEdges(columns, rows);
      const graph = buildAdjacency(assemble(laplacian(columns * rows, edges, [1])));
      const { width, largest } = findParting(graph, orderByNestedDissection(graph));
      expect(width).toBeLessThan(1.06 * rows);
      expect(largest).toBeLessThan(0.57 * columns * rows);
    }
  });

  it('parts what a single node holds together', () => {
    // Two cliques of 100 that share one node: the cover of any cut through it is that node or one beside it.
    const clique = (first: number) =>
      Array.from({ length: 100 }, (_, i) => i).flatMap((i) =>
        Array.from({ length: i }, (_, j) => [first + i, first + j, 1] as const),
      );
    const system = laplacian(199, [...clique(0), ...clique(99)], new Array<number>(199).fill(1));
    const graph = buildAdjacency(assemble(system));
    const sorted = Int32Array.from({ length: 199 }, (_, i) => i);
    const cover = coverCut(graph, sorted, 100, new Int32Array(199), 0);
    expect([...cover]).toEqual([99]);
    expect(fillOf(system, orderByNestedDissection(graph))).toBe(2 * 5050 - 1);
  });
});

describe('elimination tree and column counts', () => {
  it('agree with elimination on sets', () => {
    fc.assert(
      fc.property(positiveSystems(40), (system) => {
        const graph = buildAdjacency(assemble(system));
        const natural = naturalOrder(system.size);
        const tree = buildEliminationTree(graph, natural, natural);
        const order = postorder(tree);
        expect(isPermutation(order)).toBe(true);
        const ranks = invertPermutation(order);
        const parents = Int32Array.from(order, (node) => (tree[node]! < 0 ? -1 : ranks[tree[node]!]!));
        const columns = eliminate(system, order);
        columns.forEach((column, k) => {
          const above = [...column].filter((row) => row > k);
          expect(parents[k]).toBe(above.length === 0 ? -1 : Math.min(...above));
        });
        expect([...countColumns(graph, order, ranks, parents, new Int32Array(system.size).fill(1))]).toEqual(
          columns.map((column) => column.size),
        );
        const weights = Int32Array.from(order, (node) => 1 + (node % 3));
        expect([...countColumns(graph, order, ranks, parents, weights)]).toEqual(
          columns.map((column) => [...column].reduce((sum, row) => sum + weights[row]!, 0)),
        );
      }),
      { numRuns: 200 },
    );
  });
});

describe('analyse', () => {
  it('lays out every row of the factor in postordered supernodes', () => {
    fc.assert(
      fc.property(positiveSystems(50), (system) => {
        const { order, layout } = analyse(assemble(system));
        expect(isPermutation(order)).toBe(true);
        const columns = eliminate(system, order);
        for (let s = 0; s < layout.count; s++) {
          const first = layout.firstColumns[s]!;
          const end = layout.firstColumns[s + 1]!;
          const rows = new Set(layout.rows.subarray(layout.rowOffsets[s]!, layout.rowOffsets[s + 1]!));
          for (let k = first; k < end; k++)
            for (const row of columns[k]!) expect(row < end || rows.has(row)).toBe(true);
          const parent = layout.parents[s]!;
          expect(parent === -1 || parent > s).toBe(true);
          expect(parent >= 0).toBe(rows.size > 0);
        }
      }),
      { numRuns: 200 },
    );
  });

  it('stores few zeros', () => {
    const side = 60;
    const symbolic = analyse(assemble(laplacian(side * side, gridEdges(side), [1])));
    expect(symbolic.layout.blockOffsets[symbolic.layout.count]).toBeLessThan(1.6 * symbolic.factorEntryCount);
  });

  it('orders groups of unknowns as one', () => {
    const side = 12;
    const n = side * side;
    // u and v of every vertex, in halves and interleaved: the same solution.
    const pairs = gridEdges(side).flatMap(([i, j]) => [
      [i, j, 1] as const,
      [i + n, j + n, 1] as const,
      [i, j + n, 0.1] as const,
    ]);
    const matrix = assemble(laplacian(2 * n, pairs, new Array<number>(2 * n).fill(0.1)));
    const groups = Int32Array.from({ length: 2 * n }, (_, i) => i % n);
    const symbolic = analyse(matrix, { groups });
    expect(isPermutation(symbolic.order)).toBe(true);
    const b = sineVector(2 * n);
    const x = new LdlSolver(symbolic).factor(matrix.values).solve(b);
    expect(backwardError(matrix, x, b)).toBeLessThanOrEqual(1e-14);
    expect(symbolic.factorEntryCount).toBeLessThan(1.3 * analyse(matrix).factorEntryCount);
  });

  it('analyses groups as one where their members share neighbours', () => {
    fc.assert(
      fc.property(positiveSystems(40), fc.nat(4), (system, groupSize) => {
        const matrix = assemble(system);
        const groups = Int32Array.from({ length: system.size }, (_, i) => Math.floor(i / (groupSize + 1)));
        const symbolic = analyse(matrix, { groups });
        expect(isPermutation(symbolic.order)).toBe(true);
        const b = sineVector(system.size);
        const x = new LdlSolver(symbolic).factor(matrix.values).solve(b);
        expect(backwardError(matrix, x, b)).toBeLessThanOrEqual(1e-14);
      }),
      { numRuns: 200 },
    );
  });

  it('counts the entries of the factor, groups filled up or not', () => {
    fc.assert(
      fc.property(positiveSystems(30), fc.nat(3), (system, groupSize) => {
        const matrix = assemble(system);
        const { order, factorEntryCount } = analyse(matrix);
        expect(factorEntryCount).toBe(fillOf(system, order));
        const groups = Int32Array.from({ length: system.size }, (_, i) => Math.floor(i / (groupSize + 1)));
        const grouped = analyse(matrix, { groups });
        const filled = fillGroups(system, groups);
        const isFilled = matrix.entryRows.length >= 0.8 * (system.size + filled.rows.length);
        expect(grouped.factorEntryCount).toBe(fillOf(isFilled ? filled : system, grouped.order));
        expect([...grouped.diagonalEntries]).toEqual([...matrix.columnOffsets.subarray(0, system.size)]);
      }),
      { numRuns: 100 },
    );
  });

  it('analyses groups as one where four entries in five are there', () => {
    // Two pairs of unknowns, a and b to c and d: 10 entries if all are there. Of 8 that are, groups
    // make 10; of 7 single unknowns make 8, as one fills in.
    const pairs = [
      [0, 1, 1],
      [2, 3, 1],
      [0, 2, 1],
      [1, 3, 1],
    ] as const;
    const groups = Int32Array.of(0, 0, 4, 4);
    const count = (known: typeof pairs | readonly (typeof pairs)[number][]) =>
      analyse(assemble(laplacian(4, known, [1, 1, 1, 1])), { groups }).factorEntryCount;
    expect([count(pairs), count(pairs.slice(0, 3))]).toEqual([10, 8]);
  });
});
