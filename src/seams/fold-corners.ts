import type { EdgeId, Mesh, VertexId } from '../mesh/index.js';
import { edgeVertices, vertexFace } from '../mesh/index.js';

/** Shells of at most this share of the surface are unfolded. */
const LARGEST_SHARE = 0.03;
/** Creases that meet in a corner. */
const CORNER_CREASES = 3;

/**
 * Corners of the small hard shells, as buckles and planks. A seam through all of a shell's corners unfolds it in one
 * piece, where one along every crease would leave it in as many as it has sides.
 */
export function findFoldCorners(mesh: Mesh, creases: readonly EdgeId[], faceAreas: Float64Array): VertexId[] {
  const shellAreas = new Float64Array(mesh.shellCount);
  faceAreas.forEach((area, f) => {
    shellAreas[mesh.faceShells[f]!]! += area;
  });
  const largest = LARGEST_SHARE * shellAreas.reduce((sum, area) => sum + area, 0);
  const counts = new Int32Array(mesh.vertexCount);
  for (const e of creases) for (const v of edgeVertices(mesh, e)) counts[v]!++;
  const corners: VertexId[] = [];
  for (let v = 0; v < mesh.vertexCount; v++)
    if (counts[v]! >= CORNER_CREASES && shellAreas[mesh.faceShells[vertexFace(mesh, v)]!]! <= largest)
      corners.push(v);
  return corners;
}
