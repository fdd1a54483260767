import type { MeshInput } from '../../mesh/index.js';
import type { PlainMesh } from '../face-list.js';
import { FaceList } from '../face-list.js';
import { seededRandom } from '../seeded-random.js';
import { plainMesh } from './transform.js';

/** The corners of every face. */
export function listFaces(mesh: MeshInput): number[][] {
  const faces: number[][] = [];
  for (let f = 0, c = 0; f < mesh.faceVertexCounts.length; f++) {
    const face: number[] = [];
    for (const end = c + mesh.faceVertexCounts[f]!; c < end; c++) face.push(mesh.faceVertexIndices[c]!);
    faces.push(face);
  }
  return faces;
}

/** A mesh of given faces over the points of another. */
export const withFaces = (mesh: MeshInput, faces: readonly (readonly number[])[]): PlainMesh => ({
  points: Float64Array.from(mesh.points),
  faceVertexCounts: Int32Array.from(faces, (face) => face.length),
  faceVertexIndices: Int32Array.from(faces.flat()),
});

/** A mesh in another order, with the way back. */
export interface ShuffledMesh {
  readonly mesh: PlainMesh;
  /** The point of the given mesh that each new point is. */
  readonly pointSources: Int32Array;
  readonly faceSources: Int32Array;
}

/** Reorders points and faces and starts each face at another corner, by the seed; the surface stays the same. */
export function shuffleMesh(mesh: MeshInput, seed: number): ShuffledMesh {
  const random = seededRandom(seed);
  const pointSources = random.permutation(mesh.points.length / 3);
  const faceSources = random.permutation(mesh.faceVertexCounts.length);
  const places = new Int32Array(pointSources.length);
  const points = new Float64Array(mesh.points.length);
  pointSources.forEach((source, p) => {
    places[source] = p;
    for (let k = 0; k < 3; k++) points[3 * p + k] = mesh.points[3 * source + k]!;
  });
  const faces = listFaces(mesh);
  const shuffled = Array.from(faceSources, (source) => {
    const face = faces[source]!;
    const turn = random.integer(0, face.length - 1);
    return face.map((_, k) => places[face[(k + turn) % face.length]!]!);
  });
  return { mesh: withFaces({ ...mesh, points }, shuffled), pointSources, faceSources };
}

/** A mesh made of pieces of another's faces. */
export interface DividedMesh {
  readonly mesh: PlainMesh;
  /** The face of the given mesh that each new face comes from. */
  readonly faceSources: Int32Array;
}

/** Splits every polygon into a fan of triangles from its first corner. */
export function triangulateMesh(mesh: MeshInput): DividedMesh {
  const triangles: number[][] = [];
  const faceSources: number[] = [];
  listFaces(mesh).forEach((face, f) => {
    for (let k = 1; k + 1 < face.length; k++) {
      triangles.push([face[0]!, face[k]!, face[k + 1]!]);
      faceSources.push(f);
    }
  });
  return { mesh: withFaces(mesh, triangles), faceSources: Int32Array.from(faceSources) };
}

/** Splits every n-gon into n quads at its middle and its edges' middles, without moving the surface's points. */
export function subdivideMesh(mesh: MeshInput): DividedMesh {
  const points = Array.from(mesh.points);
  const middles = new Map<string, number>();
  const average = (corners: readonly number[]): number => {
    for (let k = 0; k < 3; k++)
      points.push(corners.reduce((sum, p) => sum + mesh.points[3 * p + k]!, 0) / corners.length);
    return points.length / 3 - 1;
  };
  const middle = (a: number, b: number): number => {
    const key = a < b ? `${a} ${b}` : `${b} ${a}`;
    const known = middles.get(key);
    if (known !== undefined) return known;
    const point = average(a < b ? [a, b] : [b, a]);
    middles.set(key, point);
    return point;
  };
  const quads: number[][] = [];
  const faceSources: number[] = [];
  listFaces(mesh).forEach((face, f) => {
    const centre = average(face);
    face.forEach((corner, k) => {
      const before = face[(k + face.length - 1) % face.length]!;
      const after = face[(k + 1) % face.length]!;
      quads.push([corner, middle(corner, after), centre, middle(before, corner)]);
      faceSources.push(f);
    });
  });
  return { mesh: withFaces({ ...mesh, points }, quads), faceSources: Int32Array.from(faceSources) };
}

/** Moves every coordinate by up to `amount` model units, by the seed. */
export function jitterMesh(mesh: MeshInput, amount: number, seed: number): PlainMesh {
  const random = seededRandom(seed);
  const copy = plainMesh(mesh);
  for (let i = 0; i < copy.points.length; i++) copy.points[i]! += random.between(-amount, amount);
  return copy;
}

/** Several meshes as one, without joining their points. */
export function joinMeshes(meshes: readonly MeshInput[]): PlainMesh {
  const list = new FaceList();
  for (const mesh of meshes) {
    const placed: number[] = [];
    for (let p = 0; p < mesh.points.length; p += 3)
      placed.push(list.point(mesh.points[p]!, mesh.points[p + 1]!, mesh.points[p + 2]!));
    for (const face of listFaces(mesh)) list.face(...face.map((p) => placed[p]!));
  }
  return list.toMesh();
}

/** Gives every face points of its own, as in a triangle soup. */
export function explodeMesh(mesh: MeshInput): PlainMesh {
  const points = new Float64Array(3 * mesh.faceVertexIndices.length);
  for (let c = 0; c < mesh.faceVertexIndices.length; c++)
    for (let k = 0; k < 3; k++) points[3 * c + k] = mesh.points[3 * mesh.faceVertexIndices[c]! + k]!;
  return {
    points,
    faceVertexCounts: Int32Array.from(mesh.faceVertexCounts),
    faceVertexIndices: Int32Array.from({ length: mesh.faceVertexIndices.length }, (_, c) => c),
  };
}

/** The mesh without the faces named; points stay, even unused ones. */
export function dropFaces(mesh: MeshInput, isDropped: (face: number) => boolean): PlainMesh {
  return withFaces(
    mesh,
    listFaces(mesh).filter((_, f) => !isDropped(f)),
  );
}
