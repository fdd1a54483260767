import { InvalidMeshError } from '../errors.js';
import type { MeshInput } from './mesh.js';

/** Throws on what no topology can be built from; everything else is repaired and reported. */
export function checkInput(input: MeshInput): void {
  const { points, faceVertexCounts, faceVertexIndices } = input;
  for (const name of ['points', 'faceVertexCounts', 'faceVertexIndices'] as const) {
    if (typeof input[name]?.length !== 'number') {
      throw new InvalidMeshError(
        'MESH_ARRAY_LENGTH',
        `buildMesh: ${name} is missing, expected an array of numbers`,
        { array: name },
      );
    }
  }
  if (points.length % 3 !== 0) {
    throw new InvalidMeshError(
      'MESH_ARRAY_LENGTH',
      `buildMesh: points has ${points.length} numbers, expected a multiple of 3`,
      { array: 'points' },
    );
  }
  if (faceVertexCounts.length === 0 || points.length === 0) {
    throw new InvalidMeshError(
      'MESH_EMPTY',
      'buildMesh: the mesh has no faces, expected at least one face and its points',
    );
  }
  let corner = 0;
  const pointCount = points.length / 3;
  for (let face = 0; face < faceVertexCounts.length; face++) {
    const count = faceVertexCounts[face]!;
    if (!Number.isInteger(count) || count < 3) {
      throw new InvalidMeshError(
        'MESH_FACE_TOO_SMALL',
        `buildMesh: face ${face} has ${count} corners, expected at least 3; delete the face`,
        { face },
      );
    }
    if (corner + count > faceVertexIndices.length) break;
    checkFace(faceVertexIndices, face, corner, count, pointCount);
    corner += count;
  }
  let total = 0;
  for (let face = 0; face < faceVertexCounts.length; face++) total += faceVertexCounts[face]!;
  if (total !== faceVertexIndices.length) {
    throw new InvalidMeshError(
      'MESH_ARRAY_LENGTH',
      `buildMesh: faceVertexCounts adds up to ${total} corners, got ${faceVertexIndices.length} faceVertexIndices`,
      { array: 'faceVertexIndices' },
    );
  }
  for (let i = 0; i < points.length; i++) {
    if (!Number.isFinite(points[i])) {
      const point = Math.floor(i / 3);
      throw new InvalidMeshError(
        'MESH_POINT_NOT_FINITE',
        `buildMesh: point ${point} has the coordinate ${points[i]}, expected finite numbers`,
        { point },
      );
    }
  }
}

function checkFace(
  indices: ArrayLike<number>,
  face: number,
  first: number,
  count: number,
  pointCount: number,
): void {
  for (let corner = first; corner < first + count; corner++) {
    const point = indices[corner]!;
    if (!Number.isInteger(point) || point < 0 || point >= pointCount) {
      throw new InvalidMeshError(
        'MESH_INDEX_RANGE',
        `buildMesh: face ${face} names point ${point}, expected an index from 0 to ${pointCount - 1}`,
        { face, corner, point },
      );
    }
  }
  if (count <= 8) {
    for (let a = first; a < first + count; a++)
      for (let b = a + 1; b < first + count; b++)
        if (indices[a] === indices[b]) throwRepeated(face, indices[a]!);
  } else {
    const seen = new Set<number>();
    for (let a = first; a < first + count; a++) {
      if (seen.has(indices[a]!)) throwRepeated(face, indices[a]!);
      seen.add(indices[a]!);
    }
  }
}

function throwRepeated(face: number, point: number): never {
  throw new InvalidMeshError(
    'MESH_REPEATED_CORNER',
    `buildMesh: face ${face} uses point ${point} twice, expected each point once; delete the face or merge its corners`,
    { face, point },
  );
}
