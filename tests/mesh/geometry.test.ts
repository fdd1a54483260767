import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { MeshInput } from '../../src/mesh/index.js';
import { buildMesh, computeCornerAngles, computeFaceGeometry, edgeLength } from '../../src/mesh/index.js';

/** The triangle of sides 3, 4 and 5 in the plane z = 7, with its axes exchanged in a circle `turns` times. */
function rightTriangle(turns: number): MeshInput {
  const corners = [
    [1, 2, 7],
    [4, 2, 7],
    [1, 6, 7],
  ];
  const points = corners.flatMap((p) => [0, 1, 2].map((k) => p[(k + turns) % 3]!));
  return { points, faceVertexCounts: [3], faceVertexIndices: [0, 1, 2] };
}

const turned = (p: readonly number[], turns: number) => [0, 1, 2].map((k) => p[(k + turns) % 3]!);

describe('a right triangle of sides 3, 4 and 5', () => {
  for (const turns of [0, 1, 2])
    it(`has area 6, its normal along one axis, and its known angles (axes exchanged ${turns} times)`, () => {
      const mesh = buildMesh(rightTriangle(turns));
      const { faceAreas, faceNormals, faceCentroids } = computeFaceGeometry(mesh);
      expect(faceAreas[0]).toBe(6);
      // Exchanging the axes in a circle is a rotation.
      expect([...faceNormals].map((x) => x + 0)).toEqual(turned([0, 0, 1], turns));
      const centroid = turned([2, 10 / 3, 7], turns);
      centroid.forEach((x, k) => {
        expect(faceCentroids[k]).toBeCloseTo(x, 14);
      });
      const angles = computeCornerAngles(mesh);
      [Math.PI / 2, Math.atan2(4, 3), Math.atan2(3, 4)].forEach((angle, k) => {
        expect(angles[k]).toBeCloseTo(angle, 14);
      });
      expect([0, 1, 2].map((e) => edgeLength(mesh, e)).sort()).toEqual([3, 4, 5]);
    });
});

describe('face geometry', () => {
  it('is that of each face by itself, in the orientation that neighbours share', () => {
    // Two unit squares over the plane x = 2 side by side, the second given the other way round.
    const mesh = buildMesh({
      points: [2, 0, 0, 2, 1, 0, 2, 1, 1, 2, 0, 1, 2, 3, 0, 2, 3, 1],
      faceVertexCounts: [4, 4],
      faceVertexIndices: [0, 1, 2, 3, 1, 2, 5, 4],
    });
    expect([...mesh.faceFlipped]).toEqual([1, 0]);
    const { faceNormals, faceAreas, faceCentroids } = computeFaceGeometry(mesh);
    expect([...faceAreas]).toEqual([1, 2]);
    expect([...faceNormals].map((x) => x + 0)).toEqual([-1, 0, 0, -1, 0, 0]);
    expect([...faceCentroids]).toEqual([2, 0.5, 0.5, 2, 2, 0.5]);
  });

  it('gives a face without area a normal of zero and angles that are numbers', () => {
    const mesh = buildMesh({
      points: [0, 0, 0, 1, 0, 0, 2, 0, 0, 1, 1, 0],
      faceVertexCounts: [3, 3],
      faceVertexIndices: [0, 1, 2, 0, 2, 3],
    });
    const { faceNormals, faceAreas } = computeFaceGeometry(mesh);
    expect(faceAreas[0]).toBe(0);
    expect([...faceNormals.subarray(0, 3)]).toEqual([0, 0, 0]);
    expect(faceAreas[1]).toBe(1);
    expect([...computeCornerAngles(mesh)].every(Number.isFinite)).toBe(true);
  });

  it('has angles that sum to π in any triangle', () => {
    const coordinate = fc.double({ min: -9, max: 9, noNaN: true });
    fc.assert(
      fc.property(fc.array(coordinate, { minLength: 9, maxLength: 9 }), (points) => {
        // A second triangle, so that the mesh has area whatever the first one comes to.
        const mesh = buildMesh({
          points: [...points, 20, 0, 0, 21, 0, 0, 20, 1, 0],
          faceVertexCounts: [3, 3],
          faceVertexIndices: [0, 1, 2, 3, 4, 5],
        });
        fc.pre(computeFaceGeometry(mesh).faceAreas[0]! > 1e-3);
        const angles = computeCornerAngles(mesh);
        for (const first of [0, 3])
          expect(angles[first]! + angles[first + 1]! + angles[first + 2]!).toBeCloseTo(Math.PI, 9);
      }),
      { numRuns: 100 },
    );
  });
});
