import fc from 'fast-check';
import { bidirectional, dijkstra } from 'graphology-shortest-path';
import { describe, expect, test } from 'vitest';
import type { VertexPath } from '../../src/graph/index.js';
import {
  arcEdge,
  buildTurnTable,
  findFlowPath,
  findVertexPath,
  growDistances,
  measureFlowCost,
  measureTurn,
  reverseArc,
  toGraph,
  tracePath,
} from '../../src/graph/index.js';
import type { Mesh } from '../../src/mesh/index.js';
import { computeEdgeLengths, computeVertexPositions, edgeVertices } from '../../src/mesh/index.js';
import { seededRandom } from '../../src/testing/index.js';
import { creature, joined, meshOf, patch, sphere, torus, triangulated } from '../fields/shapes.js';

/** Positive costs per edge that do not come close to ties. */
function randomCosts(mesh: Mesh, seed: number): Float64Array {
  const random = seededRandom(seed);
  return computeEdgeLengths(mesh).map((length) => length * random.between(0.2, 2));
}

function checkChain(mesh: Mesh, path: VertexPath): void {
  expect(path.vertices.length).toBe(path.edges.length + 1);
  path.edges.forEach((e, i) => {
    const ends = [...edgeVertices(mesh, e)].sort((a, b) => a - b);
    expect(ends).toEqual([path.vertices[i]!, path.vertices[i + 1]!].sort((a, b) => a - b));
  });
}

/** Edge joining two vertices. */
const edgeBetween = (mesh: Mesh, a: number, b: number) =>
  Array.from({ length: mesh.edgeCount }, (_, e) => e).find((e) => {
    const [p, q] = edgeVertices(mesh, e);
    return (p === a && q === b) || (p === b && q === a);
  })!;

describe('findVertexPath against graphology-shortest-path', () => {
  for (const [name, input] of [
    ['quads', creature(2)],
    ['triangles', triangulated(creature(1))],
    ['a handle', torus(12, 8)],
    ['a bordered patch', patch(9, 7)],
  ] as const)
    test(name, () => {
      const mesh = meshOf(input);
      fc.assert(
        fc.property(
          fc.nat(mesh.vertexCount - 1),
          fc.nat(mesh.vertexCount - 1),
          fc.integer(),
          (a, b, seed) => {
            const costs = randomCosts(mesh, seed);
            const graph = toGraph(mesh, costs);
            const expected = dijkstra.bidirectional(graph, String(a), String(b), 'weight').map(Number);
            const path = findVertexPath(mesh, [a], [b], costs)!;
            checkChain(mesh, path);
            expect([...path.vertices]).toEqual(expected);
            expect(path.cost).toBeCloseTo(
              path.edges.reduce((sum, e) => sum + costs[e]!, 0),
              9,
            );
          },
        ),
        { numRuns: 40 },
      );
    });

  test('with costs of 1 it has as few edges as the unweighted search', () => {
    const mesh = meshOf(creature(2));
    const graph = toGraph(mesh);
    const ones = new Float64Array(mesh.edgeCount).fill(1);
    for (const [a, b] of [
      [0, 100],
      [17, 250],
      [300, 4],
    ] as const)
      expect(findVertexPath(mesh, [a], [b], ones)!.cost).toBe(
        bidirectional(graph, String(a), String(b))!.length - 1,
      );
  });
});

describe('findVertexPath', () => {
  const mesh = meshOf(patch(6, 4));
  const costs = computeEdgeLengths(mesh);

  test('takes the nearest of several sources and targets; a source that is a target costs nothing', () => {
    const graph = toGraph(mesh, costs);
    const between = (a: number, b: number) =>
      dijkstra.bidirectional(graph, String(a), String(b), 'weight').length - 1;
    const sources = [0, 5, 30];
    const targets = [12, 33];
    const least = Math.min(...sources.flatMap((a) => targets.map((b) => between(a, b))));
    expect(findVertexPath(mesh, sources, targets, costs)!.cost).toBe(least);
    expect(findVertexPath(mesh, [3, 4], [4, 9], costs)).toEqual({
      vertices: Int32Array.of(4),
      edges: new Int32Array(0),
      cost: 0,
    });
  });

  test('goes round blocked edges and vertices, and gives up when there is no way', () => {
    const free = findVertexPath(mesh, [0], [mesh.vertexCount - 1], costs)!;
    const blockedEdges = new Uint8Array(mesh.edgeCount);
    blockedEdges[free.edges[3]!] = 1;
    const round = findVertexPath(mesh, [0], [mesh.vertexCount - 1], costs, { blockedEdges })!;
    checkChain(mesh, round);
    expect([...round.edges]).not.toContain(free.edges[3]);
    const blockedVertices = new Uint8Array(mesh.vertexCount);
    blockedVertices[free.vertices[4]!] = 1;
    expect([
      ...findVertexPath(mesh, [0], [mesh.vertexCount - 1], costs, { blockedVertices })!.vertices,
    ]).not.toContain(free.vertices[4]);
    blockedVertices.fill(1);
    expect(findVertexPath(mesh, [0], [mesh.vertexCount - 1], costs, { blockedVertices })).toBeUndefined();
    const two = meshOf(joined(sphere(2), sphere(2, 2)));
    expect(findVertexPath(two, [0], [two.vertexCount - 1], computeEdgeLengths(two))).toBeUndefined();
  });

  test('growDistances: the triangle inequality holds with equality along parents', () => {
    const body = meshOf(creature(2));
    const weights = randomCosts(body, 4);
    const grown = growDistances(body, [0, 50], weights);
    for (let e = 0; e < body.edgeCount; e++) {
      const [a, b] = edgeVertices(body, e);
      expect(Math.abs(grown.distances[a]! - grown.distances[b]!)).toBeLessThanOrEqual(weights[e]! + 1e-12);
    }
    for (let v = 0; v < body.vertexCount; v++) {
      const path = tracePath(grown, v);
      expect(path.vertices[0]).toBe(grown.roots[v]);
      expect(path.edges.reduce((sum, e) => sum + weights[e]!, 0)).toBeCloseTo(grown.distances[v]!, 9);
    }
    const near = growDistances(body, [0, 50], weights, { maxDistance: 1 });
    near.distances.forEach((d, v) => {
      expect(d).toBe(grown.distances[v]! <= 1 ? grown.distances[v]! : Infinity);
    });
  });

  test('refuses costs that do not fit', () => {
    for (const bad of [new Float64Array(3), costs.map((c, e) => (e === 5 ? -1 : c)), costs.map(() => NaN)])
      expect(() => findVertexPath(mesh, [0], [1], bad)).toThrowError(
        expect.objectContaining({ code: 'OPTION_INVALID' }),
      );
  });
});

describe('turns', () => {
  test('on a grid straight on is 0, to the side π/2; borders count as the quads they have', () => {
    const mesh = meshOf(patch(4, 4));
    const table = buildTurnTable(mesh);
    const p = computeVertexPositions(mesh);
    for (let v = 0; v < mesh.vertexCount; v++)
      for (let i = table.offsets[v]!; i < table.offsets[v + 1]!; i++)
        for (let j = table.offsets[v]!; j < table.offsets[v + 1]!; j++) {
          if (i === j) continue;
          const incoming = reverseArc(table.arcs[i]!);
          const outgoing = table.arcs[j]!;
          const along = (arc: number) =>
            [0, 1].map((k) => p[3 * table.arcHeads[arc]! + k]! - p[3 * table.arcTails[arc]! + k]!) as [
              number,
              number,
            ];
          const [ax, ay] = along(incoming);
          const [bx, by] = along(outgoing);
          expect(measureTurn(table, incoming, outgoing)).toBeCloseTo(
            Math.abs(Math.atan2(ax * by - ay * bx, ax * bx + ay * by)),
            9,
          );
          expect(arcEdge(outgoing)).toBe(outgoing >> 1);
        }
  });

  test('through a vertex of n quads the k-th arc on turns by |π − 2πk/n|', () => {
    const mesh = meshOf(sphere(4));
    const table = buildTurnTable(mesh);
    for (let v = 0; v < mesh.vertexCount; v++) {
      const arcs = table.arcs.subarray(table.offsets[v], table.offsets[v + 1]);
      for (let k = 1; k < arcs.length; k++)
        expect(measureTurn(table, reverseArc(arcs[0]!), arcs[k]!)).toBeCloseTo(
          Math.abs(Math.PI - (2 * Math.PI * k) / arcs.length),
          9,
        );
    }
  });
});

describe('findFlowPath', () => {
  test('without turning costs it is the cheapest path', () => {
    const mesh = meshOf(creature(2));
    for (let seed = 1; seed < 15; seed++) {
      const random = seededRandom(seed);
      const edgeCosts = randomCosts(mesh, seed);
      const source = random.integer(0, mesh.vertexCount - 1);
      const target = random.integer(0, mesh.vertexCount - 1);
      const flow = findFlowPath(mesh, { sources: [source], targets: [target], edgeCosts, turnCost: 0 })!;
      expect(flow).toEqual(findVertexPath(mesh, [source], [target], edgeCosts));
    }
  });

  test('on a grid it turns once where the cheapest path may zig-zag', () => {
    const mesh = meshOf(patch(8, 6));
    const p = computeVertexPositions(mesh);
    const corner = (x: number, y: number) =>
      Array.from({ length: mesh.vertexCount }, (_, v) => v).find(
        (v) => p[3 * v] === x && p[3 * v + 1] === y,
      )!;
    const edgeCosts = randomCosts(mesh, 3).map((c) => 1 + c / 100);
    const path = findFlowPath(mesh, {
      sources: [corner(1, 1)],
      targets: [corner(6, 4)],
      edgeCosts,
      turnCost: 2,
    })!;
    checkChain(mesh, path);
    expect(path.edges).toHaveLength(8);
    const steps = [...path.edges].map((e) => {
      const [a, b] = edgeVertices(mesh, e);
      return p[3 * a + 1] === p[3 * b + 1] ? 'x' : 'y';
    });
    expect(steps.filter((step, i) => i > 0 && step !== steps[i - 1])).toHaveLength(1);
  });

  test('against trying every path, on a small patch', () => {
    const mesh = meshOf(patch(3, 2));
    const table = buildTurnTable(mesh);
    for (let seed = 1; seed <= 8; seed++) {
      const edgeCosts = randomCosts(mesh, seed);
      const costs = { edgeCosts, turnCost: 0.7 };
      let best = Infinity;
      const extend = (vertices: number[], edges: number[]) => {
        const v = vertices[vertices.length - 1]!;
        if (v === mesh.vertexCount - 1)
          best = Math.min(best, measureFlowCost(mesh, vertices, edges, costs, table));
        for (let w = 0; w < mesh.vertexCount; w++) {
          const e = edgeBetween(mesh, v, w);
          if (e !== undefined && !vertices.includes(w)) extend([...vertices, w], [...edges, e]);
        }
      };
      extend([0], []);
      const path = findFlowPath(mesh, { sources: [0], targets: [mesh.vertexCount - 1], ...costs, table })!;
      expect(path.cost).toBeCloseTo(best, 9);
      expect(measureFlowCost(mesh, path.vertices, path.edges, costs, table)).toBeCloseTo(path.cost, 9);
    }
  });

  test('on triangles it keeps to the straighter way', () => {
    const mesh = meshOf(triangulated(patch(10, 4)));
    const p = computeVertexPositions(mesh);
    const find = (x: number, y: number) =>
      Array.from({ length: mesh.vertexCount }, (_, v) => v).find(
        (v) => p[3 * v] === x && p[3 * v + 1] === y,
      )!;
    const path = findFlowPath(mesh, {
      sources: [find(0, 2)],
      targets: [find(10, 2)],
      edgeCosts: randomCosts(mesh, 8).map((c) => 1 + c / 10),
      turnCost: 5,
    })!;
    for (const v of path.vertices) expect(p[3 * v + 1]).toBe(2);
  });

  test('blocked edges and vertices, sources that are targets, bad costs', () => {
    const mesh = meshOf(patch(4, 4));
    const edgeCosts = computeEdgeLengths(mesh);
    const blockedVertices = new Uint8Array(mesh.vertexCount).fill(1);
    const base = { sources: [0], targets: [mesh.vertexCount - 1], edgeCosts, turnCost: 1 };
    expect(findFlowPath(mesh, { ...base, blockedVertices })).toBeUndefined();
    expect(
      findFlowPath(mesh, { ...base, blockedEdges: new Uint8Array(mesh.edgeCount).fill(1) }),
    ).toBeUndefined();
    expect(findFlowPath(mesh, { ...base, targets: [0] })!.cost).toBe(0);
    for (const bad of [{ turnCost: -1 }, { turnCost: Infinity }, { edgeCosts: new Float64Array(1) }])
      expect(() => findFlowPath(mesh, { ...base, ...bad })).toThrowError(
        expect.objectContaining({ code: 'OPTION_INVALID' }),
      );
  });
});
