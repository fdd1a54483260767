import type { Mesh } from '../mesh/index.js';
import { computeFaceGeometry } from '../mesh/index.js';

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
