import fc from 'fast-check';
import { bidirectional, dijkstra } from 'graphology-shortest-path';
import { describe, expect, test } from 'vitest';
import type { GrownDistances } from '../../src/graph/index.js';
import { growDistances } from '../../src/graph/index.js';
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

/** Vertices from the source to one, and the cost of the edges between them. */
function traceBack(grown: GrownDistances, end: number, costs: Float64Array) {
  const vertices = [end];
  let cost = 0;
  for (let v = end; grown.parentVertices[v]! >= 0; v = grown.parentVertices[v]!) {
    vertices.unshift(grown.parentVertices[v]!);
    cost += costs[grown.parentEdges[v]!]!;
  }
  return { vertices, cost };
}

describe('growDistances against graphology-shortest-path', () => {
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
            const grown = growDistances(mesh, [a], costs);
            const { vertices, cost } = traceBack(grown, b, costs);
            expect(vertices).toEqual(expected);
            expect(cost).toBeCloseTo(grown.distances[b]!, 9);
          },
        ),
        { numRuns: 40 },
      );
    });

  test('with costs of 1 it takes as few edges as the unweighted search', () => {
    const mesh = meshOf(creature(2));
    const graph = toGraph(mesh);
    const ones = new Float64Array(mesh.edgeCount).fill(1);
    for (const [a, b] of [
      [0, 100],
      [17, 250],
      [300, 4],
    ] as const)
      expect(growDistances(mesh, [a], ones).distances[b]).toBe(
        bidirectional(graph, String(a), String(b))!.length - 1,
      );
  });
});

describe('growDistances', () => {
  const mesh = meshOf(patch(6, 4));
  const costs = computeEdgeLengths(mesh);

  test('grows from the nearest of several sources, whose own distance is 0', () => {
    const graph = toGraph(mesh, costs);
    const between = (a: number, b: number) =>
      dijkstra.bidirectional(graph, String(a), String(b), 'weight').length - 1;
    const sources = [0, 5, 30];
    const { distances, parentEdges } = growDistances(mesh, sources, costs);
    for (const v of [12, 33])
      expect(distances[v]).toBeCloseTo(Math.min(...sources.map((a) => between(a, v))), 9);
    for (const v of sources) expect([distances[v], parentEdges[v]]).toEqual([0, -1]);
  });

  test('takes no edge of infinite cost, and leads nowhere on another shell', () => {
    const blocked = costs.map((cost, e) => (edgeVertices(mesh, e).includes(0) ? Infinity : cost));
    expect(growDistances(mesh, [0], blocked).distances.filter((d) => d < Infinity)).toHaveLength(1);
    const two = meshOf(joined(sphere(2), sphere(2, 2)));
    const far = growDistances(two, [0], computeEdgeLengths(two));
    expect(far.distances[two.vertexCount - 1]).toBe(Infinity);
    expect(far.parentEdges[two.vertexCount - 1]).toBe(-1);
  });

  test('the triangle inequality holds with equality along parents', () => {
    const body = meshOf(creature(2));
    const weights = randomCosts(body, 4);
    const grown = growDistances(body, [0, 50], weights);
    for (let e = 0; e < body.edgeCount; e++) {
      const [a, b] = edgeVertices(body, e);
      expect(Math.abs(grown.distances[a]! - grown.distances[b]!)).toBeLessThanOrEqual(weights[e]! + 1e-12);
    }
    for (let v = 0; v < body.vertexCount; v++) {
      const { vertices, cost } = traceBack(grown, v, weights);
      expect([0, 50]).toContain(vertices[0]);
      expect(cost).toBeCloseTo(grown.distances[v]!, 9);
    }
  });
});
