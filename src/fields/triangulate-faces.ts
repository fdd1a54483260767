import type { FaceId, Mesh } from '../mesh/index.js';

/** The faces of a mesh as triangles, for rasters and distance updates only: nothing triangulated is ever returned. */
export interface FaceTriangles {
  /** Topological vertices, 3 × triangleCount, in the orientation of the topology. */
  readonly triangleVertices: Int32Array;
  readonly triangleFaces: Int32Array;
}

/** Above this many corners a polygon takes its fan from its lowest point, since trying every corner is quadratic. */
const LARGE_POLYGON = 64;

/**
 * Splits every face into a fan of triangles.
 *
 * The apex is chosen by shape and not by corner order, so the same polygon is split the same way however
 * it is listed: the corner whose fan has the least total area, which is the true area when the polygon is
 * star-shaped from it (so a concave quad is split from its inner corner); for a quad whose two splits agree,
 * the shorter diagonal.
 */
export function triangulateFaces(mesh: Mesh): FaceTriangles {
  const triangleCount = mesh.cornerCount - 2 * mesh.faceCount;
  const triangleVertices = new Int32Array(3 * triangleCount);
  const triangleFaces = new Int32Array(triangleCount);
  const { next, cornerVertices, faceOffsets } = mesh;
  let t = 0;
  for (let f = 0; f < mesh.faceCount; f++) {
    const corners = faceOffsets[f + 1]! - faceOffsets[f]!;
    const apex = corners === 3 ? faceOffsets[f]! : findApex(mesh, f, corners);
    let h = next[apex]!;
    for (let i = 2; i < corners; i++) {
      triangleVertices[3 * t] = cornerVertices[apex]!;
      triangleVertices[3 * t + 1] = cornerVertices[h]!;
      h = next[h]!;
      triangleVertices[3 * t + 2] = cornerVertices[h]!;
      triangleFaces[t++] = f;
    }
  }
  return { triangleVertices, triangleFaces };
}

function findApex(mesh: Mesh, f: FaceId, corners: number): number {
  const first = mesh.faceOffsets[f]!;
  let best = first;
  if (corners > LARGE_POLYGON) {
    for (let c = first + 1; c < first + corners; c++) if (comparePoints(mesh, c, best) < 0) best = c;
    return best;
  }
  let bestArea = Infinity;
  let bestReach = Infinity;
  for (let c = first; c < first + corners; c++) {
    const { area, reach } = measureFan(mesh, c, corners);
    const tolerance = 1e-9 * area;
    const isSame = Math.abs(area - bestArea) <= tolerance;
    if (isSame) {
      const reachTolerance = 1e-9 * reach;
      if (reach > bestReach + reachTolerance) continue;
      if (reach >= bestReach - reachTolerance && comparePoints(mesh, c, best) >= 0) continue;
    } else if (area > bestArea) continue;
    best = c;
    bestArea = area;
    bestReach = reach;
  }
  return best;
}

/** Sum of the triangle areas of the fan at a corner (times two), and the summed squared length of its diagonals. */
function measureFan(mesh: Mesh, apex: number, corners: number): { area: number; reach: number } {
  const { points, cornerPoints, next } = mesh;
  const o = 3 * cornerPoints[apex]!;
  const ox = points[o]!;
  const oy = points[o + 1]!;
  const oz = points[o + 2]!;
  let h = next[apex]!;
  let area = 0;
  let reach = 0;
  let p = 3 * cornerPoints[h]!;
  let ux = points[p]! - ox;
  let uy = points[p + 1]! - oy;
  let uz = points[p + 2]! - oz;
  for (let i = 2; i < corners; i++) {
    h = next[h]!;
    p = 3 * cornerPoints[h]!;
    const vx = points[p]! - ox;
    const vy = points[p + 1]! - oy;
    const vz = points[p + 2]! - oz;
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    area += Math.sqrt(nx * nx + ny * ny + nz * nz);
    if (i + 1 < corners) reach += vx * vx + vy * vy + vz * vz;
    ux = vx;
    uy = vy;
    uz = vz;
  }
  return { area, reach };
}

/** Order of two corners by position. */
function comparePoints(mesh: Mesh, a: number, b: number): number {
  const p = 3 * mesh.cornerPoints[a]!;
  const q = 3 * mesh.cornerPoints[b]!;
  const { points } = mesh;
  return points[p]! - points[q]! || points[p + 1]! - points[q + 1]! || points[p + 2]! - points[q + 2]!;
}
