import type { Vec3 } from '../math/index.js';
import type { EdgeId, FaceId, VertexId } from './ids.js';
import type { Mesh } from './mesh.js';
import { headVertex, tailVertex } from './traverse.js';

/** Position of a vertex. */
export function vertexPosition(mesh: Mesh, v: VertexId): Vec3 {
  const p = 3 * mesh.vertexPoints[v]!;
  return [mesh.points[p]!, mesh.points[p + 1]!, mesh.points[p + 2]!];
}

/** Positions of all vertices, 3 × vertexCount. */
export function computeVertexPositions(mesh: Mesh): Float64Array {
  const positions = new Float64Array(3 * mesh.vertexCount);
  for (let v = 0; v < mesh.vertexCount; v++) {
    const p = 3 * mesh.vertexPoints[v]!;
    positions[3 * v] = mesh.points[p]!;
    positions[3 * v + 1] = mesh.points[p + 1]!;
    positions[3 * v + 2] = mesh.points[p + 2]!;
  }
  return positions;
}

/** Length of every edge in model units. */
export function computeEdgeLengths(mesh: Mesh): Float64Array {
  const lengths = new Float64Array(mesh.edgeCount);
  for (let e = 0; e < mesh.edgeCount; e++) lengths[e] = edgeLength(mesh, e);
  return lengths;
}

/** In model units. */
export function edgeLength(mesh: Mesh, e: EdgeId): number {
  const { points, vertexPoints } = mesh;
  const h = mesh.edgeHalfEdges[e]!;
  const a = 3 * vertexPoints[tailVertex(mesh, h)]!;
  const b = 3 * vertexPoints[headVertex(mesh, h)]!;
  return Math.hypot(
    points[a]! - points[b]!,
    points[a + 1]! - points[b + 1]!,
    points[a + 2]! - points[b + 2]!,
  );
}

/** Unit normals (3 × faceCount, zero for faces without area), areas and centroids (3 × faceCount) of all faces. */
export interface FaceGeometry {
  readonly faceNormals: Float64Array;
  readonly faceAreas: Float64Array;
  readonly faceCentroids: Float64Array;
}

/** What the shape of faces depends on. */
export type FaceShapes = Pick<Mesh, 'points' | 'cornerPoints' | 'faceOffsets' | 'faceCount' | 'faceFlipped'>;

/**
 * Vector areas by Newell's method (length of the vector area; for a planar polygon its area), with the
 * orientation of the topology, so neighbours agree.
 */
export function computeFaceGeometry(mesh: FaceShapes): FaceGeometry {
  const faceNormals = new Float64Array(3 * mesh.faceCount);
  const faceAreas = new Float64Array(mesh.faceCount);
  const faceCentroids = new Float64Array(3 * mesh.faceCount);
  for (let f = 0; f < mesh.faceCount; f++) writeFaceGeometry(mesh, f, faceNormals, faceAreas, faceCentroids);
  return { faceNormals, faceAreas, faceCentroids };
}

function writeFaceGeometry(
  mesh: FaceShapes,
  f: FaceId,
  normals: Float64Array,
  areas: Float64Array,
  centroids: Float64Array,
): void {
  const { points, cornerPoints, faceOffsets } = mesh;
  const first = faceOffsets[f]!;
  const end = faceOffsets[f + 1]!;
  let nx = 0;
  let ny = 0;
  let nz = 0;
  let cx = 0;
  let cy = 0;
  let cz = 0;
  const o = 3 * cornerPoints[first]!;
  const ox = points[o]!;
  const oy = points[o + 1]!;
  const oz = points[o + 2]!;
  for (let c = first; c < end; c++) {
    const a = 3 * cornerPoints[c]!;
    const b = 3 * cornerPoints[c + 1 === end ? first : c + 1]!;
    const ax = points[a]! - ox;
    const ay = points[a + 1]! - oy;
    const az = points[a + 2]! - oz;
    const bx = points[b]! - ox;
    const by = points[b + 1]! - oy;
    const bz = points[b + 2]! - oz;
    nx += ay * bz - az * by;
    ny += az * bx - ax * bz;
    nz += ax * by - ay * bx;
    cx += ax;
    cy += ay;
    cz += az;
  }
  const twice = Math.hypot(nx, ny, nz);
  const sign = mesh.faceFlipped[f] ? -1 : 1;
  if (twice > 0) {
    normals[3 * f] = (sign * nx) / twice;
    normals[3 * f + 1] = (sign * ny) / twice;
    normals[3 * f + 2] = (sign * nz) / twice;
  }
  areas[f] = twice / 2;
  const n = end - first;
  centroids[3 * f] = ox + cx / n;
  centroids[3 * f + 1] = oy + cy / n;
  centroids[3 * f + 2] = oz + cz / n;
}

/** Interior angle in radians at every corner, 0 where an edge has no length. */
export function computeCornerAngles(mesh: Mesh): Float64Array {
  const angles = new Float64Array(mesh.cornerCount);
  const { points, cornerPoints, next, prev } = mesh;
  for (let h = 0; h < mesh.cornerCount; h++) {
    const o = 3 * cornerPoints[h]!;
    const a = 3 * cornerPoints[next[h]!]!;
    const b = 3 * cornerPoints[prev[h]!]!;
    const ux = points[a]! - points[o]!;
    const uy = points[a + 1]! - points[o + 1]!;
    const uz = points[a + 2]! - points[o + 2]!;
    const vx = points[b]! - points[o]!;
    const vy = points[b + 1]! - points[o + 1]!;
    const vz = points[b + 2]! - points[o + 2]!;
    const sine = Math.hypot(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx);
    angles[h] = Math.atan2(sine, ux * vx + uy * vy + uz * vz);
  }
  return angles;
}
