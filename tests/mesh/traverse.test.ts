import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Mesh } from '../../src/mesh/index.js';
import {
  buildMesh,
  buildVertexAdjacency,
  computeEdgeLengths,
  computeFaceGeometry,
  computeVertexPositions,
  edgeFaces,
  edgeVertices,
  headVertex,
  isBorderEdge,
  isBorderVertex,
  outgoingHalfEdges,
  tailVertex,
  vertexEdges,
  vertexPosition,
} from '../../src/mesh/index.js';
import { cube, gridPatch, icoSphere, meshArbitraries, prism, torus } from '../../src/testing/index.js';

const meshes = meshArbitraries(fc);
const RUNS = process.env.SEAMWRIGHT_LONG ? 1000 : 50;

describe('walking round', () => {
  it('agrees with plain loops over all half-edges, on any mesh', () => {
    fc.assert(
      fc.property(meshes.any, ({ mesh: input }) => {
        const mesh = buildMesh(input);
        const leaving: number[][] = Array.from({ length: mesh.vertexCount }, () => []);
        const edgesAt: number[][] = Array.from({ length: mesh.vertexCount }, () => []);
        const isBorder = new Uint8Array(mesh.vertexCount);
        for (let h = 0; h < mesh.cornerCount; h++) leaving[tailVertex(mesh, h)]!.push(h);
        for (let e = 0; e < mesh.edgeCount; e++) {
          const [a, b] = edgeVertices(mesh, e);
          edgesAt[a]!.push(e);
          edgesAt[b]!.push(e);
          const [f, g] = edgeFaces(mesh, e);
          expect(mesh.cornerFaces[mesh.edgeHalfEdges[e]!]).toBe(f);
          expect(isBorderEdge(mesh, e)).toBe(g === -1);
          if (g === -1) isBorder[a] = isBorder[b] = 1;
        }
        const adjacency = buildVertexAdjacency(mesh);
        const sorted = (list: Iterable<number>) => [...list].sort((x, y) => x - y);
        for (let v = 0; v < mesh.vertexCount; v++) {
          expect(sorted(outgoingHalfEdges(mesh, v))).toEqual(leaving[v]);
          expect(sorted(vertexEdges(mesh, v))).toEqual(edgesAt[v]);
          expect(isBorderVertex(mesh, v)).toBe(isBorder[v] === 1);
          const [from, to] = [adjacency.offsets[v]!, adjacency.offsets[v + 1]!];
          expect(sorted(adjacency.edges.slice(from, to))).toEqual(edgesAt[v]);
          for (let i = from; i < to; i++)
            expect(sorted(edgeVertices(mesh, adjacency.edges[i]!))).toEqual(
              sorted([v, adjacency.others[i]!]),
            );
        }
        for (let h = 0; h < mesh.cornerCount; h++)
          expect(headVertex(mesh, h)).toBe(tailVertex(mesh, mesh.next[h]!));
      }),
      { numRuns: RUNS },
    );
  });

  it('turns counter-clockwise seen from outside', () => {
    const mesh = buildMesh(gridPatch(2));
    const middle = mesh.cornerVertices.findIndex((v) => vertexPosition(mesh, v).join() === '1,1,0');
    const around = outgoingHalfEdges(mesh, mesh.cornerVertices[middle]!).map((h) => {
      const [x, y] = vertexPosition(mesh, headVertex(mesh, h));
      return Math.atan2(y - 1, x - 1);
    });
    const turns = around.map((angle, k) => (around[(k + 1) % 4]! - angle + 4 * Math.PI) % (2 * Math.PI));
    for (const turn of turns) expect(turn).toBeCloseTo(Math.PI / 2, 12);
  });
});

/** Corner angles at each vertex of a triangle mesh, by the law of cosines. */
function angleSums(mesh: Mesh): Float64Array {
  const lengths = computeEdgeLengths(mesh);
  const sums = new Float64Array(mesh.vertexCount);
  for (let h = 0; h < mesh.cornerCount; h++) {
    const along = lengths[mesh.halfEdgeEdges[h]!]!;
    const back = lengths[mesh.halfEdgeEdges[mesh.prev[h]!]!]!;
    const across = lengths[mesh.halfEdgeEdges[mesh.next[h]!]!]!;
    const cosine = (along * along + back * back - across * across) / (2 * along * back);
    sums[tailVertex(mesh, h)]! += Math.acos(Math.min(1, Math.max(-1, cosine)));
  }
  return sums;
}

describe('Gauss–Bonnet (check values, items 3, 4 and 15)', () => {
  it('Σ (2π − θ) within + Σ (π − θ) on borders = 2πχ, on any triangle mesh', () => {
    fc.assert(
      fc.property(meshes.triangles, ({ mesh: input, eulerCharacteristic }) => {
        const mesh = buildMesh(input);
        const sums = angleSums(mesh);
        let total = 0;
        for (let v = 0; v < mesh.vertexCount; v++)
          total += (isBorderVertex(mesh, v) ? 1 : 2) * Math.PI - sums[v]!;
        expect(total).toBeCloseTo(2 * Math.PI * eulerCharacteristic, 6);
      }),
      { numRuns: RUNS },
    );
  });

  it('a cube has a defect of π/2 at each corner, a sphere 4π in total', () => {
    const box = buildMesh(cube());
    const corners = new Float64Array(8);
    for (let h = 0; h < box.cornerCount; h++) corners[tailVertex(box, h)]! += Math.PI / 2;
    for (const sum of corners) expect(2 * Math.PI - sum).toBeCloseTo(Math.PI / 2, 15);
    const sphere = buildMesh(icoSphere({ level: 3 }));
    const total = angleSums(sphere).reduce((sum, theta) => sum + 2 * Math.PI - theta, 0);
    expect(total).toBeCloseTo(4 * Math.PI, 9);
  });
});

describe('geometry', () => {
  it('measures faces exactly where they are flat', () => {
    const { faceNormals, faceAreas, faceCentroids } = computeFaceGeometry(
      buildMesh(prism(6, { radius: 2, height: 3 })),
    );
    // A hexagon of radius r has the area (3√3/2) r²; its sides are r wide.
    expect([...faceAreas].map((area) => Number(area.toFixed(9)))).toEqual([
      6, 6, 6, 6, 6, 6, 10.392304845, 10.392304845,
    ]);
    expect([...faceNormals.slice(18, 24)].map((x) => Math.round(x) + 0)).toEqual([0, -1, 0, 0, 1, 0]);
    expect([faceCentroids[19], faceCentroids[22]]).toEqual([0, 3]);
  });

  it('sums the vector areas of a closed surface to nothing', () => {
    fc.assert(
      fc.property(meshes.closed, ({ mesh }) => {
        const { faceNormals, faceAreas } = computeFaceGeometry(buildMesh(mesh));
        const total = faceAreas.reduce((sum, area) => sum + area, 0);
        for (let axis = 0; axis < 3; axis++) {
          const sum = faceAreas.reduce((s, area, f) => s + area * faceNormals[3 * f + axis]!, 0);
          expect(Math.abs(sum)).toBeLessThan(1e-9 * total);
        }
      }),
      { numRuns: RUNS },
    );
  });

  it('reads positions and lengths', () => {
    const mesh = buildMesh(torus({ p: 6, q: 5 }));
    const positions = computeVertexPositions(mesh);
    const lengths = computeEdgeLengths(mesh);
    for (let e = 0; e < mesh.edgeCount; e++) {
      const [a, b] = edgeVertices(mesh, e);
      const [p, q] = [vertexPosition(mesh, a), vertexPosition(mesh, b)];
      expect([...positions.subarray(3 * a, 3 * a + 3)]).toEqual([...p]);
      expect(lengths[e]).toBeCloseTo(Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]), 15);
    }
  });
});
