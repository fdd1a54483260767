import fc from 'fast-check';
import { bidirectional, dijkstra } from 'graphology-shortest-path';
import { describe, expect, test } from 'vitest';
import type { VertexPath } from '../../src/graph/index.js';
import { findVertexPath, growDistances, tracePath } from '../../src/graph/index.js';
import { toGraph } from '../../src/graphology/index.js';
import type { Mesh } from '../../src/mesh/index.js';
import { computeEdgeLengths, edgeVertices } from '../../src/mesh/index.js';
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
