import type { Mesh } from '../mesh/index.js';
import { computeFaceGeometry } from '../mesh/index.js';

/** Unit normals of all vertices, 3 × vertexCount: means of the faces' normals by area; zero where they cancel. */
export function computeVertexNormals(mesh: Mesh): Float64Array {
  const { faceNormals, faceAreas } = computeFaceGeometry(mesh);
  const normals = new Float64Array(3 * mesh.vertexCount);
  for (let c = 0; c < mesh.cornerCount; c++) {
    const f = mesh.cornerFaces[c]!;
    const v = mesh.cornerVertices[c]!;
    for (let k = 0; k < 3; k++) normals[3 * v + k]! += faceAreas[f]! * faceNormals[3 * f + k]!;
  }
  for (let v = 0; v < mesh.vertexCount; v++) {
    const length = Math.hypot(normals[3 * v]!, normals[3 * v + 1]!, normals[3 * v + 2]!);
    if (length > 0) for (let k = 0; k < 3; k++) normals[3 * v + k]! /= length;
  }
  return normals;
}

/** Area belonging to each vertex: every face gives its corners equal shares. Sums to the surface area. */
export function computeVertexAreas(mesh: Mesh): Float64Array {
  const { faceAreas } = computeFaceGeometry(mesh);
  const areas = new Float64Array(mesh.vertexCount);
  for (let c = 0; c < mesh.cornerCount; c++) {
    const f = mesh.cornerFaces[c]!;
    areas[mesh.cornerVertices[c]!]! += faceAreas[f]! / (mesh.faceOffsets[f + 1]! - mesh.faceOffsets[f]!);
  }
  return areas;
}
