import type { MultiUndirectedGraph } from 'graphology';
import { describe, expect, test } from 'vitest';
import { buildRegionGraph, buildSeamGraph, toGraph } from '../../src/graphology/index.js';
import type { Mesh } from '../../src/mesh/index.js';
import {
  computeEdgeLengths,
  computeFaceGeometry,
  computeVertexPositions,
  cutMesh,
  edgeVertices,
} from '../../src/mesh/index.js';
import { cells, creature, joined, meshOf, patch, sphere, torus, tube } from '../fields/shapes.js';

const sum = (values: Iterable<number>) => [...values].reduce((a, b) => a + b, 0);

/** Number of connected components. */
function countComponents(graph: Pick<MultiUndirectedGraph, 'forEachNode' | 'neighbors'>): number {
  const seen = new Set<string>();
  let count = 0;
  graph.forEachNode((start) => {
    if (seen.has(start)) return;
    count++;
    const stack = [start];
    for (let node = stack.pop(); node !== undefined; node = stack.pop()) {
      if (seen.has(node)) continue;
      seen.add(node);
      stack.push(...graph.neighbors(node));
    }
  });
  return count;
}

/** Marks the edges both of whose ends pass a test. */
function markEdges(mesh: Mesh, holds: (p: readonly number[]) => boolean): Uint8Array {
  const positions = computeVertexPositions(mesh);
  return Uint8Array.from({ length: mesh.edgeCount }, (_, e) =>
    edgeVertices(mesh, e).every((v) => holds([...positions.subarray(3 * v, 3 * v + 3)])) ? 1 : 0,
  );
}

describe('toGraph', () => {
  test('has the mesh’s vertices, edges, positions and weights', () => {
    const mesh = meshOf(creature(1));
    const graph = toGraph(mesh);
    expect([graph.order, graph.size]).toEqual([mesh.vertexCount, mesh.edgeCount]);
    const lengths = computeEdgeLengths(mesh);
    graph.forEachEdge((key, { edge, weight }, source, target) => {
      expect(key).toBe(String(edge));
      expect(weight).toBe(lengths[edge]);
      expect([source, target].map(Number)).toEqual(edgeVertices(mesh, edge));
    });
    graph.forEachNode((key, { vertex, x, y, z }) => {
      expect(key).toBe(String(vertex));
      expect([x, y, z]).toEqual([...computeVertexPositions(mesh).subarray(3 * vertex, 3 * vertex + 3)]);
    });
    expect(() => toGraph(mesh, [1, 2])).toThrowError(expect.objectContaining({ code: 'OPTION_INVALID' }));
  });

  test('keeps shells apart', () => {
    const graph = toGraph(meshOf(joined(sphere(2), torus(5, 4), patch(1, 1))));
    expect(countComponents(graph)).toBe(3);
  });
});

describe('buildSeamGraph', () => {
  test('the twelve edges of a cube: eight junctions, twelve arcs', () => {
    const mesh = meshOf(cells([[0, 0, 0]], 0, 3));
    const graph = buildSeamGraph(
      mesh,
      markEdges(mesh, (p) => p.filter((x) => x < 1e-9 || x > 1 - 1e-9).length >= 2),
    );
    expect([graph.order, graph.size]).toEqual([8, 12]);
    graph.forEachNode((_, { kind, degree }) => expect([kind, degree]).toEqual(['junction', 3]));
    graph.forEachEdge((_, { edges, vertices, length }) => {
      expect([edges.length, vertices.length]).toEqual([3, 4]);
      expect(length).toBeCloseTo(1, 12);
    });
  });

  test('a ring, a loose end and a chain from border to border', () => {
    const mesh = meshOf(tube(8, 6, 1, 6));
    const ring = buildSeamGraph(
      mesh,
      markEdges(mesh, (p) => p[1] === 3),
    );
    expect([ring.order, ring.size]).toEqual([1, 1]);
    ring.forEachNode((_, { kind }) => expect(kind).toBe('loop'));
    ring.forEachEdge((_, { edges, vertices }) => {
      expect(edges).toHaveLength(8);
      expect(vertices[0]).toBe(vertices[8]);
    });
    const line = buildSeamGraph(
      mesh,
      markEdges(mesh, (p) => Math.abs(p[0]! - 1) < 1e-9),
    );
    expect(line.mapNodes((_, { kind }) => kind)).toEqual(['border', 'border']);
    expect(line.mapEdges((_, { edges }) => edges.length)).toEqual([6]);
    const loose = buildSeamGraph(
      mesh,
      markEdges(mesh, (p) => Math.abs(p[0]! - 1) < 1e-9 && p[1]! < 4.5),
    );
    expect(loose.mapNodes((_, { kind }) => kind).sort()).toEqual(['border', 'end']);
    // Border edges are open already.
    expect(
      buildSeamGraph(
        mesh,
        markEdges(mesh, (p) => p[1] === 0),
      ).order,
    ).toBe(0);
  });

  test('laws: every seam edge is in one arc, and V − E + charts follows from the cut', () => {
    const mesh = meshOf(creature(2));
    const isSeam = markEdges(mesh, (p) => Math.abs(p[0]!) < 1e-9 || Math.abs(p[1]! - 1.5) < 0.6);
    const graph = buildSeamGraph(mesh, isSeam);
    const listed = graph.mapEdges((_, { edges }) => [...edges]).flat();
    expect(listed.sort((a, b) => a - b)).toEqual([...isSeam.keys()].filter((e) => isSeam[e]));
    graph.forEachEdge((_, { edges, vertices }, source, target) => {
      expect([vertices[0], vertices[edges.length]]).toEqual([source, target].map(Number));
      edges.forEach((e, i) => {
        expect([...edgeVertices(mesh, e)].sort()).toEqual([vertices[i]!, vertices[i + 1]!].sort());
      });
    });
    // Euler on a closed shell of genus 0: charts = arcs − nodes + components of the seam graph + 1.
    const components = countComponents(graph);
    expect(cutMesh(mesh, isSeam).chartCount).toBe(graph.size - graph.order + components + 1);
  });
});

describe('buildRegionGraph', () => {
  test('octants of a sphere touch three others each, and their areas sum up', () => {
    const mesh = meshOf(sphere(6));
    const { faceCentroids, faceAreas } = computeFaceGeometry(mesh);
    const regions = Int32Array.from({ length: mesh.faceCount }, (_, f) =>
      [0, 1, 2].reduce((sum, k) => sum + (faceCentroids[3 * f + k]! > 0 ? 2 ** k : 0), 0),
    );
    const graph = buildRegionGraph(mesh, regions);
    expect([graph.order, graph.size]).toEqual([8, 12]);
    expect(sum(graph.mapNodes((_, { area }) => area))).toBeCloseTo(sum(faceAreas), 9);
    expect(sum(graph.mapNodes((_, { faceCount }) => faceCount))).toBe(mesh.faceCount);
    graph.forEachEdge((_, { length, weight, edges }) => {
      expect(edges).toHaveLength(6 / 2 + 6 / 2);
      expect(weight).toBe(length);
    });
  });

  test('weights are summed, faces in no region are left out', () => {
    const mesh = meshOf(patch(4, 2));
    const { faceCentroids } = computeFaceGeometry(mesh);
    const regions = Int32Array.from(
      { length: mesh.faceCount },
      (_, f) => Math.floor(faceCentroids[3 * f]!) - 1,
    );
    const graph = buildRegionGraph(mesh, regions, new Float64Array(mesh.edgeCount).fill(3));
    expect(graph.nodes().sort()).toEqual(['0', '1', '2']);
    expect(graph.mapEdges((_, { weight, length }) => [weight, length])).toEqual([
      [6, 2],
      [6, 2],
    ]);
    expect(() => buildRegionGraph(mesh, [0])).toThrowError(
      expect.objectContaining({ code: 'OPTION_INVALID' }),
    );
  });
});
