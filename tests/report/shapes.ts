import type { Mesh } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';

/** A flat grid of unit quads with UVs; opened along the column `cut`, the far side is moved away on the sheet. */
export function gridSheet(
  columns: number,
  rows: number,
  cut?: number,
): { mesh: Mesh; uvs: Float64Array; seam: [number, number][] } {
  const points: number[] = [];
  const indices: number[] = [];
  const at = (x: number, y: number) => y * (columns + 1) + x;
  for (let y = 0; y <= rows; y++) for (let x = 0; x <= columns; x++) points.push(x, y, 0);
  for (let y = 0; y < rows; y++)
    for (let x = 0; x < columns; x++) indices.push(at(x, y), at(x + 1, y), at(x + 1, y + 1), at(x, y + 1));
  const mesh = buildMesh({
    points,
    faceVertexCounts: Array.from({ length: columns * rows }, () => 4),
    faceVertexIndices: indices,
  });
  const width = columns + (cut === undefined ? 0 : 1);
  const size = Math.max(width, rows);
  const uvs = new Float64Array(2 * mesh.cornerCount);
  for (let c = 0; c < mesh.cornerCount; c++) {
    const p = mesh.cornerPoints[c]!;
    const isFar = cut !== undefined && mesh.cornerFaces[c]! % columns >= cut;
    uvs[2 * c] = (mesh.points[3 * p]! + (isFar ? 1 : 0)) / size;
    uvs[2 * c + 1] = mesh.points[3 * p + 1]! / size;
  }
  const seam: [number, number][] = [];
  if (cut !== undefined) for (let y = 0; y < rows; y++) seam.push([at(cut, y), at(cut, y + 1)]);
  return { mesh, uvs, seam };
}
