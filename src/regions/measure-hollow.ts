import type { TriangleSurface } from './triangle-surface.js';

/**
 * Mean curvature per vertex (1 / model units), above 0 where the surface is hollow, averaged over rounds of
 * neighbours so that single folds of a coarse mesh do not stand alone.
 *
 * Cotangent weights (Meyer, Desbrun, Schröder & Barr 2003), clamped on slivers.
 */
export function measureHollow(surface: TriangleSurface, rounds: number): Float64Array {
  const { vertexCount, triangleCount, triangles, positions, vertexAreas } = surface;
  const laplacian = new Float64Array(3 * vertexCount);
  const normals = new Float64Array(3 * vertexCount);
  const corner = (t: number, i: number) => 3 * triangles[3 * t + i]!;
  for (let t = 0; t < triangleCount; t++) {
    for (let i = 0; i < 3; i++) {
      const o = corner(t, i);
      const a = corner(t, (i + 1) % 3);
      const b = corner(t, (i + 2) % 3);
      const ux = positions[a]! - positions[o]!;
      const uy = positions[a + 1]! - positions[o + 1]!;
      const uz = positions[a + 2]! - positions[o + 2]!;
      const vx = positions[b]! - positions[o]!;
      const vy = positions[b + 1]! - positions[o + 1]!;
      const vz = positions[b + 2]! - positions[o + 2]!;
      const x = uy * vz - uz * vy;
      const y = uz * vx - ux * vz;
      const z = ux * vy - uy * vx;
      normals[o]! += x;
      normals[o + 1]! += y;
      normals[o + 2]! += z;
      const area = Math.sqrt(x * x + y * y + z * z);
      const cotangent = area > 0 ? Math.min(5, Math.max(0.05, (ux * vx + uy * vy + uz * vz) / area)) : 0;
      for (let k = 0; k < 3; k++) {
        const d = (cotangent / 2) * (positions[b + k]! - positions[a + k]!);
        laplacian[a + k]! += d;
        laplacian[b + k]! -= d;
      }
    }
  }
  let hollow = new Float64Array(vertexCount);
  for (let v = 0; v < vertexCount; v++) {
    const n = 3 * v;
    const size = Math.hypot(normals[n]!, normals[n + 1]!, normals[n + 2]!);
    if (!(size > 0) || !(vertexAreas[v]! > 0)) continue;
    // Integrated over the vertex's own area; divided by it after averaging.
    hollow[v] =
      (laplacian[n]! * normals[n]! +
        laplacian[n + 1]! * normals[n + 1]! +
        laplacian[n + 2]! * normals[n + 2]!) /
      size /
      2;
  }
  let areas = vertexAreas.slice();
  const { neighbourOffsets, neighbours } = surface;
  for (let round = 0; round < rounds; round++) {
    const sums = hollow.slice();
    const sizes = areas.slice();
    for (let v = 0; v < vertexCount; v++)
      for (let i = neighbourOffsets[v]!; i < neighbourOffsets[v + 1]!; i++) {
        const w = neighbours[i]!;
        const share = 1 / (neighbourOffsets[w + 1]! - neighbourOffsets[w]!);
        sums[v]! += hollow[w]! * share;
        sizes[v]! += areas[w]! * share;
      }
    hollow = sums;
    areas = sizes;
  }
  return hollow.map((value, v) => (areas[v]! > 0 ? value / areas[v]! : 0));
}
