import { describe, expect, it } from 'vitest';
import { checkInput } from '../../src/mesh/check-input.js';
import type { MeshInput } from '../../src/mesh/index.js';

/** Ten points, of which faces may name any. */
const POINTS = Array.from({ length: 30 }, (_, i) => i * i);

const input = (
  faceVertexCounts: ArrayLike<number>,
  faceVertexIndices: ArrayLike<number>,
  points: ArrayLike<number> = POINTS,
): MeshInput => ({ points, faceVertexCounts, faceVertexIndices });

const faults: readonly [string, unknown, string, string, object][] = [
  [
    'no points',
    { faceVertexCounts: [3], faceVertexIndices: [0, 1, 2] },
    'MESH_ARRAY_LENGTH',
    'points is missing',
    { array: 'points' },
  ],
  [
    'no counts',
    { points: POINTS, faceVertexIndices: [0, 1, 2] },
    'MESH_ARRAY_LENGTH',
    'faceVertexCounts is missing',
    { array: 'faceVertexCounts' },
  ],
  [
    'indices that are no array',
    { points: POINTS, faceVertexCounts: [3], faceVertexIndices: 5 },
    'MESH_ARRAY_LENGTH',
    'faceVertexIndices is missing',
    { array: 'faceVertexIndices' },
  ],
  [
    'a point with two coordinates',
    input([3], [0, 1, 2], [0, 0, 0, 1, 0, 0, 0, 1]),
    'MESH_ARRAY_LENGTH',
    'points has 8 numbers',
    { array: 'points' },
  ],
  ['no faces', input([], []), 'MESH_EMPTY', 'has no faces', {}],
  ['no point', input([3], [0, 1, 2], []), 'MESH_EMPTY', 'has no faces', {}],
  [
    'a face of two corners',
    input([3, 2], [0, 1, 2, 3, 4]),
    'MESH_FACE_TOO_SMALL',
    'face 1 has 2 corners',
    { face: 1 },
  ],
  [
    'a face of half a corner more',
    input([3.5], [0, 1, 2, 3]),
    'MESH_FACE_TOO_SMALL',
    'face 0 has 3.5 corners',
    { face: 0 },
  ],
  [
    'fewer indices than corners',
    input([3, 4], [0, 1, 2, 3, 4, 5]),
    'MESH_ARRAY_LENGTH',
    'adds up to 7 corners, got 6',
    { array: 'faceVertexIndices' },
  ],
  [
    'more indices than corners',
    input([3], [0, 1, 2, 3]),
    'MESH_ARRAY_LENGTH',
    'adds up to 3 corners, got 4',
    { array: 'faceVertexIndices' },
  ],
  [
    'the first point that is not there',
    input([3, 3], [0, 1, 2, 3, 10, 4]),
    'MESH_INDEX_RANGE',
    'face 1 names point 10, expected an index from 0 to 9',
    { face: 1, corner: 4, point: 10 },
  ],
  [
    'a point below none',
    input([3], [0, 1, -1]),
    'MESH_INDEX_RANGE',
    'face 0 names point -1',
    { face: 0, corner: 2, point: -1 },
  ],
  [
    'a point between two',
    input([3], [0.5, 1, 2]),
    'MESH_INDEX_RANGE',
    'names point 0.5',
    { face: 0, corner: 0, point: 0.5 },
  ],
  [
    'a corner twice, first and last',
    input([3, 4], [0, 1, 2, 3, 4, 5, 3]),
    'MESH_REPEATED_CORNER',
    'face 1 uses point 3 twice',
    { face: 1, point: 3 },
  ],
  [
    'a corner twice among eight',
    input([8], [0, 1, 2, 3, 4, 5, 6, 5]),
    'MESH_REPEATED_CORNER',
    'face 0 uses point 5 twice',
    { face: 0, point: 5 },
  ],
  [
    'a corner twice among nine',
    input([3, 9], [7, 8, 9, 0, 1, 2, 3, 4, 5, 6, 7, 0]),
    'MESH_REPEATED_CORNER',
    'face 1 uses point 0 twice',
    { face: 1, point: 0 },
  ],
  [
    'a coordinate that is no number',
    input([3], [0, 1, 2], [0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, Number.NaN]),
    'MESH_POINT_NOT_FINITE',
    'point 3 has the coordinate NaN',
    { point: 3 },
  ],
  [
    'an endless coordinate',
    input([3], [0, 1, 2], [0, 0, 0, 1, Infinity, 0, 0, 1, 0]),
    'MESH_POINT_NOT_FINITE',
    'point 1 has the coordinate Infinity',
    { point: 1 },
  ],
];

describe('checkInput', () => {
  it.each(faults)('refuses %s, and names it', (_what, given, code, message, details) => {
    expect(() => checkInput(given as MeshInput)).toThrowError(
      expect.objectContaining({ code, message: expect.stringContaining(message), details }),
    );
  });

  it('takes faces of any size, typed arrays, and points that two faces share', () => {
    for (const given of [
      input([3, 4], [0, 1, 2, 2, 1, 3, 4]),
      input([9, 3], [0, 1, 2, 3, 4, 5, 6, 7, 8, 0, 1, 9]),
      input([10, 8], [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 7, 6, 5, 4, 3, 2, 1, 0]),
      input(Uint8Array.of(3), Int32Array.of(0, 1, 9), Float32Array.from(POINTS)),
    ])
      expect(() => checkInput(given)).not.toThrow();
  });
});
