import type { Vec3 } from '../../math/index.js';
import { normalize } from '../../math/index.js';
import type { MeshInput } from '../../mesh/index.js';
import type { PlainMesh } from '../face-list.js';

/** Copies the arrays of any mesh input into plain typed arrays. */
export const plainMesh = (mesh: MeshInput): PlainMesh => ({
  points: Float64Array.from(mesh.points),
  faceVertexCounts: Int32Array.from(mesh.faceVertexCounts),
  faceVertexIndices: Int32Array.from(mesh.faceVertexIndices),
});

/** The mesh with every point replaced. */
export function mapPoints(mesh: MeshInput, move: (p: Vec3, point: number) => Vec3): PlainMesh {
  const copy = plainMesh(mesh);
  for (let p = 0; p < copy.points.length; p += 3)
    copy.points.set(move([copy.points[p]!, copy.points[p + 1]!, copy.points[p + 2]!], p / 3), p);
  return copy;
}

/** Turns the mesh about an axis through the origin, by degrees. */
export function rotateMesh(mesh: MeshInput, axis: Vec3, degrees: number): PlainMesh {
  const matrix = rotationMatrix(axis, degrees);
  return mapPoints(mesh, (p) => applyMatrix(matrix, p));
}

/** Rows of the rotation about an axis by degrees (Rodrigues). */
export function rotationMatrix(axis: Vec3, degrees: number): readonly [Vec3, Vec3, Vec3] {
  const [x, y, z] = normalize(axis);
  const c = Math.cos((degrees * Math.PI) / 180);
  const s = Math.sin((degrees * Math.PI) / 180);
  const t = 1 - c;
  return [
    [t * x * x + c, t * x * y - s * z, t * x * z + s * y],
    [t * x * y + s * z, t * y * y + c, t * y * z - s * x],
    [t * x * z - s * y, t * y * z + s * x, t * z * z + c],
  ];
}

export const applyMatrix = (rows: readonly [Vec3, Vec3, Vec3], [x, y, z]: Vec3): Vec3 => [
  rows[0][0] * x + rows[0][1] * y + rows[0][2] * z,
  rows[1][0] * x + rows[1][1] * y + rows[1][2] * z,
  rows[2][0] * x + rows[2][1] * y + rows[2][2] * z,
];

/** Scales about the origin, by one factor or one per axis. */
export function scaleMesh(mesh: MeshInput, factor: number | Vec3): PlainMesh {
  const [a, b, c] = typeof factor === 'number' ? [factor, factor, factor] : factor;
  return mapPoints(mesh, ([x, y, z]) => [a * x, b * y, c * z]);
}

export const translateMesh = (mesh: MeshInput, [a, b, c]: Vec3): PlainMesh =>
  mapPoints(mesh, ([x, y, z]) => [x + a, y + b, z + c]);

/** Reflects the mesh in the plane through the origin across an axis (0, 1, 2); faces turn so that they still look outwards. */
export function mirrorMesh(mesh: MeshInput, axis: 0 | 1 | 2): PlainMesh {
  const mirrored = mapPoints(mesh, (p) => p.map((x, i) => (i === axis ? -x : x)) as unknown as Vec3);
  return flipFaces(mirrored, () => true);
}

/** Reverses the corner order of the chosen faces. */
export function flipFaces(mesh: MeshInput, isFlipped: (face: number) => boolean): PlainMesh {
  const copy = plainMesh(mesh);
  for (let f = 0, c = 0; f < copy.faceVertexCounts.length; c += copy.faceVertexCounts[f]!, f++)
    if (isFlipped(f)) copy.faceVertexIndices.subarray(c, c + copy.faceVertexCounts[f]!).reverse();
  return copy;
}
