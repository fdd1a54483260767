import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findMirror } from '../../src/fields/index.js';
import type { MeshInput } from '../../src/mesh/index.js';
import { buildMesh, edgeVertices, headVertex, tailVertex } from '../../src/mesh/index.js';
import { makeMarionette, seededRandom, shuffleMesh, triangulateMesh } from '../../src/testing/index.js';

const mapOf = (input: MeshInput) => {
  const mesh = buildMesh(input);
  return { mesh, map: findMirror(mesh)! };
};

/** A square to each side of x = 0; both diagonals run the same way. */
const strip: MeshInput = {
  points: [-1, 0, 0, 0, 0, 0, 1, 0, 0, -1, 0, 1, 0, 0, 1, 1, 0, 1],
  faceVertexCounts: [3, 3, 3, 3],
  faceVertexIndices: [0, 3, 1, 1, 3, 4, 1, 4, 2, 2, 4, 5],
};

describe('findMirror where polygons are divided otherwise on the two sides', () => {
  it('pairs the sides of squares whose diagonals do not mirror, and not the diagonals', () => {
    const { mesh, map } = mapOf({ ...strip, faceVertexIndices: [0, 3, 1, 1, 3, 4, 1, 4, 5, 1, 5, 2] });
    const { mesh: parallel, map: lacking } = mapOf(strip);
    expect([...lacking.facePartners]).toEqual([-1, -1, -1, -1]);
    expect([...map.facePartners]).toEqual([3, 2, 1, 0]);
    const lone = [...lacking.edgePartners.keys()].filter((e) => lacking.edgePartners[e]! < 0);
    const columns = (e: number) =>
      edgeVertices(parallel, e).map((v) => parallel.points[3 * parallel.vertexPoints[v]!]);
    expect(lone.map((e) => columns(e).sort())).toEqual([
      [-1, 0],
      [0, 1],
    ]);
    expect(map.edgePartners).not.toContain(-1);
    expect(mesh.edgeCount).toBe(9);
  });

  it('knows the partners of all vertices and edges of the quads behind the triangles, and is mutual', () => {
    const quads = makeMarionette({ faces: 700 });
    const quadEdges = buildMesh(quads.mesh).edgeCount;
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 999 }), (seed) => {
        const { mesh: shuffled, pointSources } = shuffleMesh(quads.mesh, seed);
        const { mesh, map } = mapOf(triangulateMesh(shuffled).mesh);
        const sourceOf = (v: number) => pointSources[mesh.vertexPoints[v]!]!;
        map.vertexPartners.forEach((w, v) => {
          expect(sourceOf(w)).toBe(quads.pointPartners[sourceOf(v)]);
        });
        map.halfEdgePartners.forEach((g, h) => {
          if (g < 0) return;
          expect(map.halfEdgePartners[g]).toBe(h);
          expect(tailVertex(mesh, g)).toBe(map.vertexPartners[headVertex(mesh, h)]);
          expect(headVertex(mesh, g)).toBe(map.vertexPartners[tailVertex(mesh, h)]);
        });
        map.facePartners.forEach((g, f) => {
          if (g >= 0) expect(map.facePartners[g]).toBe(f);
        });
        expect(map.edgePartners.filter((e) => e >= 0).length).toBeGreaterThanOrEqual(quadEdges);
      }),
      { numRuns: 10 },
    );
  });

  it('finds no mirror where vertices differ as well, as on a body meshed anew', () => {
    const { mesh: shuffled } = shuffleMesh(makeMarionette({ faces: 1500 }).mesh, 1);
    const divided = triangulateMesh(shuffled).mesh;
    expect(findMirror(buildMesh(divided))!.matchedShare).toBeGreaterThan(0.99);
    const random = seededRandom(2);
    const moved = divided.points.slice();
    for (let p = 0; p < moved.length; p += 3)
      if (random.next() < 0.35) for (let k = 0; k < 3; k++) moved[p + k]! += random.between(-0.01, 0.01);
    expect(findMirror(buildMesh({ ...divided, points: moved }))).toBeUndefined();
    // Divided alike, it has one all the same.
    const quads = { ...shuffled, points: moved };
    expect(findMirror(buildMesh(quads))!.matchedShare).toBeGreaterThan(0.99);
  });
});
