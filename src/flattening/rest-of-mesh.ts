import type { Mesh } from '../mesh/index.js';
import { computeVertexPositions, orientedCorners } from '../mesh/index.js';
import type { RestTriangles } from './rest-triangles.js';
import { buildRestTriangles } from './rest-triangles.js';

/** The polygons of a whole mesh as triangles at rest, in units of the square root of its area. */
export function restOfMesh(mesh: Mesh): RestTriangles {
  return buildRestTriangles({
    faceOffsets: mesh.faceOffsets,
    cornerVertices: orientedCorners(mesh).map((c) => mesh.cornerVertices[c]!),
    vertexCount: mesh.vertexCount,
    positions: computeVertexPositions(mesh),
  });
}
