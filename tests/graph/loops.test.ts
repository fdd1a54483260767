import { describe, expect, test } from 'vitest';
import type { SeparatingLoop } from '../../src/graph/index.js';
import { buildTurnTable, findFlowCycle, findSeparatingLoop, measureFlowCost } from '../../src/graph/index.js';
import type { Mesh } from '../../src/mesh/index.js';
import {
  computeEdgeLengths,
  computeFaceGeometry,
  computeVertexPositions,
  edgeFaces,
} from '../../src/mesh/index.js';
import { seededRandom } from '../../src/testing/index.js';
import {
  creature,
  joined,
  meshOf,
  moved,
  patch,
  shuffle,
  sphere,
  torus,
  triangulated,
  tube,
} from '../fields/shapes.js';

/** Faces whose centroid lies below and above two heights along an axis. */
function sides(mesh: Mesh, axis: number, low: number, high: number) {
  const { faceCentroids } = computeFaceGeometry(mesh);
  const at = (f: number) => faceCentroids[3 * f + axis]!;
  const all = Array.from({ length: mesh.faceCount }, (_, f) => f);
  return { insideFaces: all.filter((f) => at(f) > high), outsideFaces: all.filter((f) => at(f) < low) };
}

function checkLoop(mesh: Mesh, loop: SeparatingLoop, inside: number[], outside: number[]): void {
  for (const f of inside) expect(loop.isInside[f]).toBe(1);
  for (const f of outside) expect(loop.isInside[f]).toBe(0);
  const cut = new Set(loop.edges);
  for (let e = 0; e < mesh.edgeCount; e++) {
    const [f, g] = edgeFaces(mesh, e);
    expect(cut.has(e)).toBe(g >= 0 && loop.isInside[f] !== loop.isInside[g]);
  }
  const chained = loop.chains.flatMap((chain) => [...chain.halfEdges].map((h) => mesh.halfEdgeEdges[h]!));
  expect(chained.sort((a, b) => a - b)).toEqual([...loop.edges]);
  for (const { halfEdges, isClosed } of loop.chains)
    halfEdges.forEach((h, i) => {
      expect(loop.isInside[mesh.cornerFaces[h]!]).toBe(1);
      const following = halfEdges[i + 1] ?? (isClosed ? halfEdges[0] : undefined);
      if (following !== undefined)
        expect(mesh.cornerVertices[following]).toBe(mesh.cornerVertices[mesh.next[h]!]);
    });
}

describe('findSeparatingLoop', () => {
  test('round a tube whose girth varies, the loop is the narrowest ring', () => {
    const mesh = meshOf(
      moved(tube(16, 12, 1, 12), ([x, y, z]) => {
        const girth = 1 + 0.1 * (y - 7) ** 2;
        return [x * girth, y, z * girth];
      }),
    );
    const { insideFaces, outsideFaces } = sides(mesh, 1, 2, 10);
    const loop = findSeparatingLoop(mesh, insideFaces, outsideFaces, computeEdgeLengths(mesh))!;
    checkLoop(mesh, loop, insideFaces, outsideFaces);
    expect(loop.chains).toHaveLength(1);
    expect(loop.chains[0]!.isClosed).toBe(true);
    const p = computeVertexPositions(mesh);
    for (const h of loop.chains[0]!.halfEdges) expect(p[3 * mesh.cornerVertices[h]! + 1]).toBeCloseTo(7, 9);
    expect(loop.cost).toBeCloseTo(2 * 16 * Math.sin(Math.PI / 16), 9);
  });

  test('round a patch the seam is an open chain from border to border', () => {
    const mesh = meshOf(patch(8, 5));
    const { insideFaces, outsideFaces } = sides(mesh, 0, 1, 7);
    const loop = findSeparatingLoop(mesh, insideFaces, outsideFaces, computeEdgeLengths(mesh))!;
    checkLoop(mesh, loop, insideFaces, outsideFaces);
    expect(loop.cost).toBe(5);
    expect(loop.chains.map((c) => c.isClosed)).toEqual([false]);
  });

  test('across a handle it is two loops', () => {
    const mesh = meshOf(torus(24, 10));
    const { insideFaces, outsideFaces } = sides(mesh, 0, -2, 2);
    const loop = findSeparatingLoop(mesh, insideFaces, outsideFaces, computeEdgeLengths(mesh))!;
    checkLoop(mesh, loop, insideFaces, outsideFaces);
    expect(loop.chains.map((c) => c.isClosed)).toEqual([true, true]);
  });

  test('is never dearer than any level ring, and the same in any order', () => {
    const input = creature(2);
    const mesh = meshOf(input);
    const costs = computeEdgeLengths(mesh);
    const { insideFaces, outsideFaces } = sides(mesh, 0, 1.5, 4.2);
    const loop = findSeparatingLoop(mesh, insideFaces, outsideFaces, costs)!;
    checkLoop(mesh, loop, insideFaces, outsideFaces);
    const { faceCentroids } = computeFaceGeometry(mesh);
    for (let level = 1.6; level < 4.2; level += 0.1) {
      let cost = 0;
      for (let e = 0; e < mesh.edgeCount; e++) {
        const [f, g] = edgeFaces(mesh, e);
        if (g >= 0 && faceCentroids[3 * f]! > level !== faceCentroids[3 * g]! > level) cost += costs[e]!;
      }
      expect(loop.cost).toBeLessThanOrEqual(cost * (1 + 1e-6));
    }
    const shuffled = shuffle(input, 2);
    const other = meshOf(shuffled.input);
    const again = sides(other, 0, 1.5, 4.2);
    const second = findSeparatingLoop(
      other,
      again.insideFaces,
      again.outsideFaces,
      computeEdgeLengths(other),
    )!;
    shuffled.faces.forEach((old, f) => {
      expect(second.isInside[f]).toBe(loop.isInside[old]);
    });
  });

  test('keeps off blocked edges, uses open ones for nothing, and chooses the nearer of equal cuts', () => {
    const mesh = meshOf(tube(8, 10, 1, 10));
    const { insideFaces, outsideFaces } = sides(mesh, 1, 1, 9);
    const costs = computeEdgeLengths(mesh);
    const p = computeVertexPositions(mesh);
    const height = (loop: SeparatingLoop) => p[3 * mesh.cornerVertices[loop.chains[0]!.halfEdges[0]!]! + 1]!;
    const inner = findSeparatingLoop(mesh, insideFaces, outsideFaces, costs)!;
    const outer = findSeparatingLoop(mesh, insideFaces, outsideFaces, costs, { near: 'outside' })!;
    expect(height(inner)).toBeCloseTo(9, 9);
    expect(height(outer)).toBeCloseTo(1, 9);
    const blockedEdges = new Uint8Array(mesh.edgeCount);
    for (const e of inner.edges) blockedEdges[e] = 1;
    const beside = findSeparatingLoop(mesh, insideFaces, outsideFaces, costs, { blockedEdges })!;
    expect(height(beside)).toBeCloseTo(8, 9);
    expect(
      findSeparatingLoop(mesh, insideFaces, outsideFaces, costs, { blockedEdges: blockedEdges.fill(1) }),
    ).toBeUndefined();
    const openEdges = new Uint8Array(mesh.edgeCount);
    for (const e of outer.edges.subarray(0, 5)) openEdges[e] = 1;
    const open = findSeparatingLoop(mesh, insideFaces, outsideFaces, costs, { openEdges })!;
    expect(open.edges).toHaveLength(3);
  });

  test('two shells need no seam; bad sides and costs are refused', () => {
    const mesh = meshOf(joined(sphere(2), sphere(2, 3)));
    const costs = computeEdgeLengths(mesh);
    const loop = findSeparatingLoop(mesh, [0], [mesh.faceCount - 1], costs)!;
    expect(loop.edges).toHaveLength(0);
    for (const [inside, outside, weights] of [
      [[], [1], costs],
      [[1], [], costs],
      [[1], [1], costs],
      [[0], [1], costs.map(() => -1)],
      [[0], [1], new Float64Array(2)],
    ] as const)
      expect(() => findSeparatingLoop(mesh, inside, outside, weights)).toThrowError(
        expect.objectContaining({ code: 'OPTION_INVALID' }),
      );
  });
});

describe('findFlowCycle', () => {
  for (const make of [() => tube(9, 7, 1, 7), () => triangulated(tube(9, 7, 1, 7))])
    test(`without turning costs it is the cheapest cut (${meshOf(make()).faceCount} faces)`, () => {
      const mesh = meshOf(make());
      const { insideFaces, outsideFaces } = sides(mesh, 1, 1, 6);
      for (let seed = 1; seed <= 10; seed++) {
        const random = seededRandom(seed);
        const edgeCosts = computeEdgeLengths(mesh).map((l) => l * random.between(0.2, 3));
        const cut = findSeparatingLoop(mesh, insideFaces, outsideFaces, edgeCosts)!;
        const cycle = findFlowCycle(mesh, { insideFaces, outsideFaces, edgeCosts, turnCost: 0 })!;
        expect(cycle.cost).toBeCloseTo(cut.cost, 6);
        expect(cycle.vertices[0]).toBe(cycle.vertices[cycle.vertices.length - 1]);
      }
    });

  test('with turning costs it keeps to one ring where the cheapest cut zig-zags', () => {
    const mesh = meshOf(tube(16, 9, 1, 9));
    const { insideFaces, outsideFaces } = sides(mesh, 1, 1, 8);
    const p = computeVertexPositions(mesh);
    for (let seed = 1; seed <= 5; seed++) {
      const random = seededRandom(seed);
      const edgeCosts = computeEdgeLengths(mesh).map(() => random.between(0.2, 1));
      const cut = findSeparatingLoop(mesh, insideFaces, outsideFaces, edgeCosts)!;
      const table = buildTurnTable(mesh);
      const cycle = findFlowCycle(mesh, { insideFaces, outsideFaces, edgeCosts, turnCost: 4, table })!;
      const heights = new Set([...cycle.vertices].map((v) => p[3 * v + 1]!.toFixed(6)));
      expect(heights.size).toBe(1);
      expect(cut.cost).toBeLessThanOrEqual(cycle.cost + 1e-6);
      // Of the inner rings it is the cheapest.
      const ringCosts = Array.from({ length: 10 }, (_, ring) => {
        const edges = edgeCosts.filter((_, e) => {
          const h = mesh.edgeHalfEdges[e]!;
          return [h, mesh.next[h]!].every((g) => Math.abs(p[3 * mesh.cornerVertices[g]! + 1]! - ring) < 1e-9);
        });
        return edges.reduce((a, b) => a + b, 0);
      });
      expect(cycle.cost).toBeCloseTo(Math.min(...ringCosts.slice(1, 9)), 9);
      expect(
        measureFlowCost(mesh, cycle.vertices, cycle.edges, { edgeCosts, turnCost: 4 }, table),
      ).toBeCloseTo(cycle.cost, 9);
    }
  });

  test('there is none where every way is blocked or the sides do not hang together', () => {
    const mesh = meshOf(tube(8, 6, 1, 6));
    const { insideFaces, outsideFaces } = sides(mesh, 1, 1, 5);
    const edgeCosts = computeEdgeLengths(mesh);
    const blockedEdges = new Uint8Array(mesh.edgeCount).fill(1);
    expect(
      findFlowCycle(mesh, { insideFaces, outsideFaces, edgeCosts, turnCost: 1, blockedEdges }),
    ).toBeUndefined();
    const two = meshOf(joined(sphere(2), sphere(2, 3)));
    expect(
      findFlowCycle(two, {
        insideFaces: [0],
        outsideFaces: [two.faceCount - 1],
        edgeCosts: computeEdgeLengths(two),
        turnCost: 1,
      }),
    ).toBeUndefined();
  });
});
