import type { ErrorCode } from '../../errors.js';
import type { MeshInput, RepairKind } from '../../mesh/index.js';
import {
  explodeMesh,
  flipFaces,
  joinMeshes,
  listFaces,
  mapPoints,
  translateMesh,
  withFaces,
} from '../deform/index.js';
import { cube, gridPatch, mobiusStrip, torus } from '../shapes/index.js';

/** Arrays with something wrong in them, and what must come of it. */
export interface BrokenMesh {
  readonly name: string;
  /** Makes the arrays; some are large. */
  readonly make: () => MeshInput;
  /** The code of the error that building must end in. */
  readonly error?: ErrorCode;
  /** Otherwise, the kinds of repair that building must report, exactly, in any order; empty for odd but sound meshes. */
  readonly repairs?: readonly RepairKind[];
}

const SQUARE = [0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0];
const TRIANGLE = SQUARE.slice(0, 9);

const arrays = (
  points: readonly number[],
  counts: readonly number[],
  indices: readonly number[],
): MeshInput => ({
  points,
  faceVertexCounts: counts,
  faceVertexIndices: indices,
});

const rejected = (name: string, error: ErrorCode, make: () => unknown): BrokenMesh => ({
  name,
  error,
  // What is wrong may be the type itself.
  make: make as () => MeshInput,
});
const repaired = (name: string, repairs: readonly RepairKind[], make: () => MeshInput): BrokenMesh => ({
  name,
  repairs,
  make,
});

const triangleOf = (...indices: number[]) => arrays(SQUARE, [indices.length], indices);
const withPoint = (value: number) => arrays([0, 0, 0, 1, 0, 0, 0, value, 0], [3], [0, 1, 2]);

const REJECTED: readonly BrokenMesh[] = [
  rejected('nothing at all', 'MESH_EMPTY', () => arrays([], [], [])),
  rejected('points without faces', 'MESH_EMPTY', () => arrays(SQUARE, [], [])),
  rejected('faces without points', 'MESH_EMPTY', () => arrays([], [3], [0, 1, 2])),
  rejected('no points array', 'MESH_ARRAY_LENGTH', () => ({
    faceVertexCounts: [3],
    faceVertexIndices: [0, 1, 2],
  })),
  rejected('null for the counts', 'MESH_ARRAY_LENGTH', () => ({
    points: SQUARE,
    faceVertexCounts: null,
    faceVertexIndices: [0, 1, 2],
  })),
  rejected('an object for the indices', 'MESH_ARRAY_LENGTH', () => ({
    points: SQUARE,
    faceVertexCounts: [3],
    faceVertexIndices: {},
  })),
  rejected('coordinates that are no triples', 'MESH_ARRAY_LENGTH', () =>
    arrays([...TRIANGLE, 1], [3], [0, 1, 2]),
  ),
  rejected('counts that promise more corners', 'MESH_ARRAY_LENGTH', () =>
    arrays(SQUARE, [3, 3], [0, 1, 2, 0]),
  ),
  rejected('counts that leave corners over', 'MESH_ARRAY_LENGTH', () => arrays(SQUARE, [3], [0, 1, 2, 3])),
  rejected('a face of four billion corners', 'MESH_ARRAY_LENGTH', () =>
    arrays(SQUARE, [4_294_967_295], [0, 1, 2]),
  ),
  rejected('an index one too high', 'MESH_INDEX_RANGE', () => triangleOf(0, 1, 4)),
  rejected('a huge index', 'MESH_INDEX_RANGE', () => triangleOf(0, 1, 2 ** 31)),
  rejected('a negative index', 'MESH_INDEX_RANGE', () => triangleOf(0, 1, -1)),
  rejected('a fractional index', 'MESH_INDEX_RANGE', () => triangleOf(0, 1, 1.5)),
  rejected('an index that is no number', 'MESH_INDEX_RANGE', () => triangleOf(0, 1, Number.NaN)),
  rejected('a point at NaN', 'MESH_POINT_NOT_FINITE', () => withPoint(Number.NaN)),
  rejected('a point at infinity', 'MESH_POINT_NOT_FINITE', () => withPoint(Number.POSITIVE_INFINITY)),
  rejected('a point at minus infinity', 'MESH_POINT_NOT_FINITE', () => withPoint(Number.NEGATIVE_INFINITY)),
  rejected('an unused point at NaN', 'MESH_POINT_NOT_FINITE', () =>
    arrays([...TRIANGLE, Number.NaN, 0, 0], [3], [0, 1, 2]),
  ),
  rejected('a face of two corners', 'MESH_FACE_TOO_SMALL', () => arrays(SQUARE, [2], [0, 1])),
  rejected('a face of no corners', 'MESH_FACE_TOO_SMALL', () => arrays(SQUARE, [3, 0], [0, 1, 2])),
  rejected('a face of minus three corners', 'MESH_FACE_TOO_SMALL', () => arrays(SQUARE, [3, -3], [0, 1, 2])),
  rejected('a face of three and a half corners', 'MESH_FACE_TOO_SMALL', () =>
    arrays(SQUARE, [3.5], [0, 1, 2]),
  ),
  rejected('a face of NaN corners', 'MESH_FACE_TOO_SMALL', () => arrays(SQUARE, [Number.NaN], [0, 1, 2])),
  rejected('a triangle that uses a point twice', 'MESH_REPEATED_CORNER', () => triangleOf(0, 1, 1)),
  rejected('a quad that uses a point twice', 'MESH_REPEATED_CORNER', () => triangleOf(0, 1, 2, 1)),
  rejected('a 12-gon that uses a point twice', 'MESH_REPEATED_CORNER', () => {
    const points = Array.from({ length: 12 }, (_, i) => [Math.cos(i), Math.sin(i), 0]).flat();
    return arrays(points, [12], [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 0]);
  }),
  rejected('all points in one place', 'MESH_NO_AREA', () =>
    arrays([1, 1, 1, 1, 1, 1, 1, 1, 1], [3], [0, 1, 2]),
  ),
  rejected('all points on one line', 'MESH_NO_AREA', () =>
    arrays([0, 0, 0, 1, 1, 1, 2, 2, 2], [3], [0, 1, 2]),
  ),
  rejected('ten thousand faces without area', 'MESH_NO_AREA', () =>
    mapPoints(gridPatch(100), ([x]) => [x, 0, 0]),
  ),
];

/** A fan of `pages` squares on one edge. */
function book(pages: number): MeshInput {
  const points = [0, 0, 0, 0, 1, 0];
  const indices: number[] = [];
  for (let i = 0; i < pages; i++) {
    const angle = (2 * Math.PI * i) / pages;
    points.push(Math.cos(angle), 0, Math.sin(angle), Math.cos(angle), 1, Math.sin(angle));
    indices.push(0, 2 * i + 2, 2 * i + 3, 1);
  }
  return arrays(points, new Array(pages).fill(4), indices);
}

/** The grid of a torus with one direction turned round where it closes: a Klein bottle that passes through itself. */
function kleinBottle(p: number, q: number): MeshInput {
  const points: number[] = [];
  for (let i = 0; i < p; i++)
    for (let j = 0; j < q; j++) {
      const [u, v] = [(2 * Math.PI * i) / p, (2 * Math.PI * (j + 0.25)) / q];
      const r = 3 + Math.cos(u / 2) * Math.sin(v) - Math.sin(u / 2) * Math.sin(2 * v);
      points.push(
        r * Math.cos(u),
        Math.sin(u / 2) * Math.sin(v) + Math.cos(u / 2) * Math.sin(2 * v),
        r * Math.sin(u),
      );
    }
  const at = (i: number, j: number) => (i === p ? (q - (j % q)) % q : i * q + (j % q));
  const indices: number[] = [];
  for (let i = 0; i < p; i++)
    for (let j = 0; j < q; j++) indices.push(at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
  return arrays(points, new Array(p * q).fill(4), indices);
}

const oneOff = (mesh: MeshInput, extra: readonly (readonly number[])[]) =>
  withFaces(mesh, [...listFaces(mesh), ...extra]);

const REPAIRED: readonly BrokenMesh[] = [
  repaired('one triangle', [], () => arrays(TRIANGLE, [3], [0, 1, 2])),
  repaired('one 40-gon', [], () => {
    const points = Array.from({ length: 40 }, (_, i) => [
      Math.cos((Math.PI * i) / 20),
      Math.sin((Math.PI * i) / 20),
      0,
    ]).flat();
    return arrays(points, [40], [...Array(40).keys()]);
  }),
  repaired('a hundred thousand loose triangles', [], () => {
    const points = new Float64Array(900_000);
    for (let t = 0; t < 100_000; t++) {
      const [x, y] = [2 * (t % 400), 2 * Math.floor(t / 400)];
      points.set([x, y, 0, x + 1, y, 0, x, y + 1, 0], 9 * t);
    }
    return {
      points,
      faceVertexCounts: new Int32Array(100_000).fill(3),
      faceVertexIndices: Int32Array.from({ length: 300_000 }, (_, c) => c),
    };
  }),
  repaired('a very large model', [], () =>
    mapPoints(cube(), (p) => [1e100 * p[0], 1e100 * p[1], 1e100 * p[2]]),
  ),
  repaired('a very small model', [], () =>
    mapPoints(cube(), (p) => [1e-100 * p[0], 1e-100 * p[1], 1e-100 * p[2]]),
  ),
  repaired('points that no face uses', ['unused-point'], () =>
    arrays([...SQUARE, 9, 9, 9, 9, 9, 9], [4], [0, 1, 2, 3]),
  ),
  repaired('a face without area among good ones', ['zero-area-face'], () =>
    arrays([...SQUARE, 2, 0, 0], [4, 3], [0, 1, 2, 3, 1, 0, 4]),
  ),
  repaired('a bow-tie quad among good ones', ['zero-area-face'], () =>
    arrays([...SQUARE, 5, 0, 0, 6, 0, 0, 6, 1, 0, 5, 1, 0], [4, 4], [0, 1, 2, 3, 4, 5, 7, 6]),
  ),
  repaired('a soup: every face with points of its own', ['welded-points'], () => explodeMesh(cube({ n: 2 }))),
  repaired('twins a billionth apart', ['welded-points'], () => {
    const soup = explodeMesh(torus());
    return mapPoints(soup, ([x, y, z], p) => [x + 1e-9 * (p % 2), y, z]);
  }),
  repaired('a face whose corners coincide', ['welded-points', 'zero-area-face', 'collapsed-face'], () =>
    arrays([...SQUARE, 0, 0, 0], [4, 3], [0, 1, 2, 3, 0, 1, 4]),
  ),
  repaired('the same face twice', ['duplicate-face'], () => oneOff(cube(), [listFaces(cube())[2]!])),
  repaired('the same face twice, once turned over', ['duplicate-face'], () =>
    oneOff(cube(), [[...listFaces(cube())[2]!].reverse()]),
  ),
  repaired('the same face thirty times', ['duplicate-face'], () =>
    oneOff(gridPatch(2), new Array(29).fill(listFaces(gridPatch(2))[0]!)),
  ),
  repaired('three faces on one edge', ['non-manifold-edge'], () => book(3)),
  repaired('nine faces on one edge', ['non-manifold-edge'], () => book(9)),
  repaired('a wall inside a box', ['non-manifold-edge'], () => {
    const box = cube({ n: 2 });
    const at = (x: number, y: number, z: number) => {
      for (let p = 0; p < box.points.length; p += 3)
        if (box.points[p] === x && box.points[p + 1] === y && box.points[p + 2] === z) return p / 3;
      return -1;
    };
    const rim = [
      at(0.5, 0, 0),
      at(0.5, 0.5, 0),
      at(0.5, 1, 0),
      at(0.5, 1, 0.5),
      at(0.5, 1, 1),
      at(0.5, 0.5, 1),
      at(0.5, 0, 1),
      at(0.5, 0, 0.5),
    ];
    return oneOff(box, [rim]);
  }),
  repaired('two boxes that share an edge', ['welded-points', 'non-manifold-edge'], () =>
    joinMeshes([cube(), translateMesh(cube(), [1, 1, 0])]),
  ),
  repaired('two boxes that share a corner', ['welded-points', 'pinched-vertex'], () =>
    joinMeshes([cube(), translateMesh(cube(), [1, 1, 1])]),
  ),
  repaired('two triangles that touch at a point', ['pinched-vertex'], () =>
    arrays([...TRIANGLE, -1, 0, 0, -1, -1, 0], [3, 3], [0, 1, 2, 0, 3, 4]),
  ),
  repaired('one face turned over', ['flipped-neighbour'], () => flipFaces(cube({ n: 3 }), (f) => f === 7)),
  repaired('every other face turned over', ['flipped-neighbour'], () =>
    flipFaces(torus(), (f) => f % 2 === 0),
  ),
  repaired('a Möbius strip', ['flipped-neighbour', 'one-sided-loop'], () => mobiusStrip()),
  repaired('a Klein bottle', ['flipped-neighbour', 'one-sided-loop'], () => kleinBottle(16, 8)),
];

/** Broken and odd mesh arrays, each with the error code or the repairs it must end in. */
export const BROKEN_MESHES: readonly BrokenMesh[] = Object.freeze([...REJECTED, ...REPAIRED]);
