import type { FaceElements } from '../elements/index.js';
import type { RestTriangles } from '../flattening/index.js';
import { measureCorners } from '../flattening/index.js';
import { listMembers } from '../structures/index.js';

/**
 * Cotangent Laplacian of the faces of a mesh, one element for each triangle that stands for a polygon.
 *
 * @param rest - of the whole mesh
 */
export function buildLaplacianElements(rest: RestTriangles, faceCount: number): FaceElements {
  const { triangleCount, triangleVertices, triangleFaces, vertexCount, shares } = rest;
  const { halfCotangents } = measureCorners(rest);
  const forms = new Float64Array(6 * triangleCount);
  for (let t = 0; t < triangleCount; t++) {
    const [a, b, c] = [0, 1, 2].map((k) => shares[t]! * halfCotangents[3 * t + k]!) as [
      number,
      number,
      number,
    ];
    forms.set([b + c, -c, a + c, -b, -a, a + b], 6 * t);
  }
  return {
    faceOffsets: listMembers(triangleFaces.subarray(0, triangleCount), faceCount).starts,
    elementSize: 3,
    sizes: new Uint8Array(triangleCount).fill(3),
    places: triangleVertices,
    signs: new Int8Array(3 * triangleCount).fill(1),
    forms,
    unknownCount: vertexCount,
  };
}
