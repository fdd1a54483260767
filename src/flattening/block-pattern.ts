import type { SymmetricMatrix } from '../linalg/index.js';
import { assembleSymmetric } from '../linalg/index.js';
import type { RestTriangles } from './rest-triangles.js';

/**
 * Pattern of the matrices over all vertices: once with one unknown per vertex, once with the two unknowns
 * u (2v) and v (2v + 1) side by side.
 */
export interface BlockPattern {
  readonly vertexCount: number;
  /** Column per vertex of the lower triangle, the diagonal first: rows ascending. */
  readonly columnOffsets: Int32Array;
  readonly entryRows: Int32Array;
  /** First vertex of each element's vertex list, and the count at the end. */
  readonly elementVertexOffsets: Int32Array;
  readonly elementVertices: Int32Array;
  /** Per triangle corner, its place in the element's vertex list. */
  readonly triangleSlots: Int32Array;
  /** First pair of each element, and the count at the end. */
  readonly elementPairOffsets: Int32Array;
  /** Entry of the vertex pattern for each pair (i ≥ j, row by row) of the element's vertices. */
  readonly pairEntries: Int32Array;
}

/**
 * Finds the pattern of the elements, and where each pair of an element's vertices goes.
 *
 * @param extraPairs - further pairs of vertices to have entries for
 */
export function buildBlockPattern(
  rest: RestTriangles,
  extraPairs: Int32Array = new Int32Array(0),
): BlockPattern {
  const { elementOffsets, triangleVertices, vertexCount } = rest;
  const elementCount = elementOffsets.length - 1;
  const elementVertexOffsets = new Int32Array(elementCount + 1);
  const elementPairOffsets = new Int32Array(elementCount + 1);
  const elementVertices: number[] = [];
  const triangleSlots = new Int32Array(3 * rest.triangleCount);
  const marks = new Int32Array(vertexCount).fill(-1);
  const places = new Int32Array(vertexCount);
  for (let e = 0; e < elementCount; e++) {
    const first = elementVertices.length;
    for (let s = 3 * elementOffsets[e]!; s < 3 * elementOffsets[e + 1]!; s++) {
      const v = triangleVertices[s]!;
      if (marks[v] !== e) {
        marks[v] = e;
        places[v] = elementVertices.push(v) - 1 - first;
      }
      triangleSlots[s] = places[v]!;
    }
    const k = elementVertices.length - first;
    elementVertexOffsets[e + 1] = elementVertices.length;
    elementPairOffsets[e + 1] = elementPairOffsets[e]! + (k * (k + 1)) / 2;
  }
  const pairCount = elementPairOffsets[elementCount]!;
  const extraCount = extraPairs.length / 2;
  const rows = new Int32Array(pairCount + extraCount);
  const columns = new Int32Array(pairCount + extraCount);
  for (let e = 0, p = 0; e < elementCount; e++) {
    const first = elementVertexOffsets[e]!;
    const k = elementVertexOffsets[e + 1]! - first;
    for (let i = 0; i < k; i++) {
      for (let j = 0; j <= i; j++, p++) {
        rows[p] = elementVertices[first + i]!;
        columns[p] = elementVertices[first + j]!;
      }
    }
  }
  for (let k = 0; k < extraCount; k++) {
    rows[pairCount + k] = extraPairs[2 * k]!;
    columns[pairCount + k] = extraPairs[2 * k + 1]!;
  }
  const { columnOffsets, entryRows, slots } = assembleSymmetric(vertexCount, rows, columns);
  return {
    vertexCount,
    columnOffsets,
    entryRows,
    elementVertexOffsets,
    elementVertices: Int32Array.from(elementVertices),
    triangleSlots,
    elementPairOffsets,
    pairEntries: slots.subarray(0, pairCount),
  };
}

/** The entry of a pair of vertices, or -1. */
export function findEntry({ columnOffsets, entryRows }: BlockPattern, a: number, b: number): number {
  const column = Math.min(a, b);
  const row = Math.max(a, b);
  let from = columnOffsets[column]!;
  let to = columnOffsets[column + 1]! - 1;
  while (from < to) {
    const middle = (from + to) >> 1;
    if (entryRows[middle]! < row) from = middle + 1;
    else to = middle;
  }
  return entryRows[from] === row ? from : -1;
}

/** An empty matrix with one unknown per vertex. */
export function vertexMatrix(pattern: BlockPattern): SymmetricMatrix {
  return {
    size: pattern.vertexCount,
    columnOffsets: pattern.columnOffsets,
    entryRows: pattern.entryRows,
    values: new Float64Array(pattern.entryRows.length),
    slots: new Int32Array(0),
  };
}

/**
 * An empty matrix with two unknowns per vertex. The block of vertex entry p in column b (with `start` its
 * first entry and `length` the entries of the column) is found by {@link blockStart}.
 */
export function blockMatrix(pattern: BlockPattern): SymmetricMatrix {
  const { vertexCount, columnOffsets, entryRows } = pattern;
  const size = 2 * vertexCount;
  const offsets = new Int32Array(size + 1);
  const rows = new Int32Array(4 * entryRows.length - vertexCount);
  let at = 0;
  for (let b = 0; b < vertexCount; b++) {
    for (let side = 0; side < 2; side++) {
      for (let p = columnOffsets[b]!; p < columnOffsets[b + 1]!; p++) {
        const a = entryRows[p]!;
        if (a !== b || side === 0) rows[at++] = 2 * a;
        rows[at++] = 2 * a + 1;
      }
      offsets[2 * b + side + 1] = at;
    }
  }
  return {
    size,
    columnOffsets: offsets,
    entryRows: rows,
    values: new Float64Array(at),
    slots: new Int32Array(0),
  };
}

/**
 * For each vertex entry, the first entry of its block in the left column (u of the column's vertex) and in
 * the right column (v); the two entries of a column are neighbours, but on the diagonal the right column
 * holds only the lower one, at the place given.
 */
export function blockStarts(pattern: BlockPattern): { left: Int32Array; right: Int32Array } {
  const { vertexCount, columnOffsets } = pattern;
  const left = new Int32Array(pattern.entryRows.length);
  const right = new Int32Array(pattern.entryRows.length);
  for (let b = 0; b < vertexCount; b++) {
    const start = columnOffsets[b]!;
    const length = columnOffsets[b + 1]! - start;
    const base = 4 * start - b;
    for (let k = 0; k < length; k++) {
      left[start + k] = base + 2 * k;
      right[start + k] = base + 2 * length + Math.max(0, 2 * k - 1);
    }
  }
  return { left, right };
}
