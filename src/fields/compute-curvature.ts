import type { HalfEdgeId, Mesh } from '../mesh/index.js';
import { computeFaceGeometry, headVertex, requireMesh, tailVertex } from '../mesh/index.js';

export interface Curvature {
  /** 2π less the angles round an inner vertex, π less those round a border vertex, radians; sums to 2πχ. */
  readonly vertexDefects: Float64Array;
  /** Angle between the normals of an edge's faces in −π..π radians: above 0 convex, 0 flat or border. */
  readonly edgeDihedrals: Float64Array;
  /** How tightly the surface folds inwards across an edge, 0 (flat or convex) to 1 (a sharp groove). */
  readonly edgeConcavity: Float64Array;
  /** Interior angle of each corner in radians; those of a face with n corners sum to (n − 2)π. */
  readonly cornerAngles: Float64Array;
}

/** A fold with this radius, as a share of the model's diagonal, has a concavity of one half. */
const HALF_RADIUS = 0.05;

/**
 * Angle defects at vertices, and dihedral angles and concavity at edges.
 *
 * The angles of a warped polygon sum to less than (n − 2)π; the lack is shared out among its corners, so that
 * Gauss–Bonnet holds to rounding on every mesh without triangulating it. Concavity is κr / (1 + κr), where κ
 * is the dihedral over the distance of the faces' centroids and r is 5 % of the diagonal: on a smooth fold it
 * does not depend on how finely the fold is meshed, as the dihedral does.
 */
export function computeCurvature(mesh: Mesh): Curvature {
  requireMesh(mesh, 'computeCurvature');
  const { faceNormals, faceCentroids } = computeFaceGeometry(mesh);
  const cornerAngles = computeCornerAngles(mesh, faceNormals);
  const vertexDefects = new Float64Array(mesh.vertexCount);
  for (let v = 0; v < mesh.vertexCount; v++)
    vertexDefects[v] = mesh.twin[mesh.vertexHalfEdges[v]!]! < 0 ? Math.PI : 2 * Math.PI;
  for (let c = 0; c < mesh.cornerCount; c++) vertexDefects[mesh.cornerVertices[c]!]! -= cornerAngles[c]!;

  const edgeDihedrals = new Float64Array(mesh.edgeCount);
  const edgeConcavity = new Float64Array(mesh.edgeCount);
  for (let e = 0; e < mesh.edgeCount; e++) {
    const h = mesh.edgeHalfEdges[e]!;
    if (mesh.twin[h]! < 0) continue;
    const dihedral = measureDihedral(mesh, h, faceNormals);
    edgeDihedrals[e] = dihedral;
    if (dihedral >= 0) continue;
    const f = 3 * mesh.cornerFaces[h]!;
    const g = 3 * mesh.cornerFaces[mesh.twin[h]!]!;
    const width = Math.hypot(
      faceCentroids[f]! - faceCentroids[g]!,
      faceCentroids[f + 1]! - faceCentroids[g + 1]!,
      faceCentroids[f + 2]! - faceCentroids[g + 2]!,
    );
    const bend = -dihedral * HALF_RADIUS * mesh.diagonal;
    edgeConcavity[e] = bend / (bend + width);
  }
  return { vertexDefects, edgeDihedrals, edgeConcavity, cornerAngles };
}

function measureDihedral(mesh: Mesh, h: HalfEdgeId, faceNormals: Float64Array): number {
  const f = 3 * mesh.cornerFaces[h]!;
  const g = 3 * mesh.cornerFaces[mesh.twin[h]!]!;
  const [ax, ay, az] = [faceNormals[f]!, faceNormals[f + 1]!, faceNormals[f + 2]!];
  const [bx, by, bz] = [faceNormals[g]!, faceNormals[g + 1]!, faceNormals[g + 2]!];
  const { points, vertexPoints } = mesh;
  const p = 3 * vertexPoints[tailVertex(mesh, h)]!;
  const q = 3 * vertexPoints[headVertex(mesh, h)]!;
  const ex = points[q]! - points[p]!;
  const ey = points[q + 1]! - points[p + 1]!;
  const ez = points[q + 2]! - points[p + 2]!;
  const length = Math.hypot(ex, ey, ez);
  if (length === 0) return 0;
  const sine = (ex * (ay * bz - az * by) + ey * (az * bx - ax * bz) + ez * (ax * by - ay * bx)) / length;
  const cosine = ax * bx + ay * by + az * bz;
  return sine === 0 && cosine === 0 ? 0 : Math.atan2(sine, cosine);
}

function computeCornerAngles(mesh: Mesh, faceNormals: Float64Array): Float64Array {
  const angles = new Float64Array(mesh.cornerCount);
  const { points, cornerPoints, faceOffsets, next, prev } = mesh;
  for (let f = 0; f < mesh.faceCount; f++) {
    const first = faceOffsets[f]!;
    const end = faceOffsets[f + 1]!;
    let sum = 0;
    for (let c = first; c < end; c++) {
      const p = 3 * cornerPoints[prev[c]!]!;
      const o = 3 * cornerPoints[c]!;
      const q = 3 * cornerPoints[next[c]!]!;
      const ux = points[o]! - points[p]!;
      const uy = points[o + 1]! - points[p + 1]!;
      const uz = points[o + 2]! - points[p + 2]!;
      const vx = points[q]! - points[o]!;
      const vy = points[q + 1]! - points[o + 1]!;
      const vz = points[q + 2]! - points[o + 2]!;
      const nx = uy * vz - uz * vy;
      const ny = uz * vx - ux * vz;
      const nz = ux * vy - uy * vx;
      const along = nx * faceNormals[3 * f]! + ny * faceNormals[3 * f + 1]! + nz * faceNormals[3 * f + 2]!;
      const turn = Math.atan2(Math.hypot(nx, ny, nz), ux * vx + uy * vy + uz * vz);
      // A corner that turns against the face's orientation has an interior angle above π.
      angles[c] = Math.PI - (along < 0 ? -turn : turn);
      sum += angles[c]!;
    }
    const lack = ((end - first - 2) * Math.PI - sum) / (end - first);
    for (let c = first; c < end; c++) angles[c]! += lack;
  }
  return angles;
}
