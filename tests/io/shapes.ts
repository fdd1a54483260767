import fc from 'fast-check';
import type { MeshInput } from '../../src/mesh/index.js';
import { buildMesh, cutMesh } from '../../src/mesh/index.js';

/** Closed, quads: eight points, six faces that look outwards. */
export const CUBE: MeshInput = {
  points: [-1, -1, -1, 1, -1, -1, 1, 1, -1, -1, 1, -1, -1, -1, 1, 1, -1, 1, 1, 1, 1, -1, 1, 1],
  faceVertexCounts: [4, 4, 4, 4, 4, 4],
  faceVertexIndices: [0, 3, 2, 1, 4, 5, 6, 7, 0, 1, 5, 4, 1, 2, 6, 5, 2, 3, 7, 6, 3, 0, 4, 7],
};

/** Bordered: a wavy sheet of `columns` by `rows` quads. */
export function sheet(columns: number, rows: number): MeshInput {
  const points: number[] = [];
  const faceVertexIndices: number[] = [];
  for (let j = 0; j <= rows; j++) {
    for (let i = 0; i <= columns; i++) points.push(i, j, 0 + Math.sin(i) * Math.cos(j));
  }
  const at = (i: number, j: number) => j * (columns + 1) + i;
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++)
      faceVertexIndices.push(at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
  }
  return { points, faceVertexCounts: new Array(columns * rows).fill(4), faceVertexIndices };
}

/** Closed, triangles: a faceted ball of `segments` meridians and `rings` rings, poles included. */
export function ball(segments: number, rings: number): MeshInput {
  const points: number[] = [0, 1, 0];
  for (let j = 1; j < rings; j++) {
    const angle = (Math.PI * j) / rings;
    for (let i = 0; i < segments; i++) {
      const turn = (2 * Math.PI * i) / segments;
      points.push(Math.sin(angle) * Math.cos(turn), Math.cos(angle), 0 - Math.sin(angle) * Math.sin(turn));
    }
  }
  points.push(0, -1, 0);
  const last = points.length / 3 - 1;
  const at = (j: number, i: number) => 1 + (j - 1) * segments + (i % segments);
  const faceVertexIndices: number[] = [];
  for (let i = 0; i < segments; i++) {
    faceVertexIndices.push(0, at(1, i), at(1, i + 1));
    for (let j = 1; j < rings - 1; j++) {
      faceVertexIndices.push(
        at(j, i),
        at(j + 1, i),
        at(j + 1, i + 1),
        at(j, i),
        at(j + 1, i + 1),
        at(j, i + 1),
      );
    }
    faceVertexIndices.push(at(rings - 1, i + 1), at(rings - 1, i), last);
  }
  return { points, faceVertexCounts: new Array(faceVertexIndices.length / 3).fill(3), faceVertexIndices };
}

/** UVs that differ at every vertex of the surface cut along the edges that `isSeam` picks, and the count of those vertices. */
export function cutUvs(
  input: MeshInput,
  isSeam: (edge: number) => boolean,
): { cornerUvs: Float64Array; cutVertexCount: number } {
  const mesh = buildMesh(input);
  const cut = cutMesh(
    mesh,
    Uint8Array.from({ length: mesh.edgeCount }, (_, e) => Number(isSeam(e))),
  );
  const cornerUvs = new Float64Array(2 * mesh.cornerCount);
  cut.cornerCutVertices.forEach((vertex, corner) => {
    cornerUvs[2 * corner] = (vertex + 0.5) / cut.cutVertexCount;
    cornerUvs[2 * corner + 1] = ((vertex * 0.6180339887) % 1) / 2 + 0.25;
  });
  return { cornerUvs, cutVertexCount: cut.cutVertexCount };
}

/** Any of the shapes, small. */
export const anyShape = (): fc.Arbitrary<MeshInput> =>
  fc.oneof(
    fc.constant(CUBE),
    fc.tuple(fc.integer({ min: 1, max: 6 }), fc.integer({ min: 1, max: 6 })).map(([i, j]) => sheet(i, j)),
    fc.tuple(fc.integer({ min: 3, max: 8 }), fc.integer({ min: 3, max: 6 })).map(([i, j]) => ball(i, j)),
  );

/** A shape with UVs cut along random edges. */
export const anyCutShape = (): fc.Arbitrary<{
  input: MeshInput;
  cornerUvs: Float64Array;
  cutVertexCount: number;
}> =>
  fc.tuple(anyShape(), fc.infiniteStream(fc.boolean())).map(([input, picks]) => {
    const mask: boolean[] = [];
    return {
      input,
      ...cutUvs(input, (edge) => {
        while (mask.length <= edge) mask.push(picks.next().value);
        return mask[edge]!;
      }),
    };
  });

/** Largest difference of two lists of numbers; NaN on both sides is none. */
export function largestDifference(a: ArrayLike<number>, b: ArrayLike<number>): number {
  if (a.length !== b.length) return Infinity;
  let largest = 0;
  for (let i = 0; i < a.length; i++) {
    if (Number.isNaN(a[i]) && Number.isNaN(b[i])) continue;
    const difference = Math.abs(a[i]! - b[i]!);
    largest = difference <= largest ? largest : Number.isNaN(difference) ? Infinity : difference;
  }
  return largest;
}

/** Code, message and details of what `run` throws. */
export async function errorOf(
  run: () => unknown,
): Promise<{ code?: string; message: string; details?: Record<string, unknown> }> {
  try {
    await run();
  } catch (error) {
    return error as { code?: string; message: string };
  }
  return { message: 'nothing was thrown' };
}
