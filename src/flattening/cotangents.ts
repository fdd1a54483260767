import type { SymmetricMatrix } from '../linalg/index.js';
import type { BlockPattern } from './block-pattern.js';
import { vertexMatrix } from './block-pattern.js';
import type { RestTriangles } from './rest-triangles.js';

/** Half cotangents and angles of every rest triangle at its three corners. */
export interface CornerAngles {
  readonly halfCotangents: Float64Array;
  readonly angles: Float64Array;
}

/** Measures the corners of the rest triangles. */
export function measureCorners(rest: RestTriangles): CornerAngles {
  const halfCotangents = new Float64Array(3 * rest.triangleCount);
  const angles = new Float64Array(3 * rest.triangleCount);
  for (let t = 0; t < rest.triangleCount; t++) {
    const base = 1 / rest.inverses[3 * t]!;
    const height = 1 / rest.inverses[3 * t + 2]!;
    const x = -rest.inverses[3 * t + 1]! * base * height;
    // Corners at (0,0), (base,0), (x,height): adjacent over opposite of each angle.
    const twice = base * height;
    const dots = [x * base, (base - x) * base, x * (x - base) + height * height];
    for (let k = 0; k < 3; k++) {
      halfCotangents[3 * t + k] = dots[k]! / (2 * twice);
      angles[3 * t + k] = Math.atan2(twice, dots[k]!);
    }
  }
  return { halfCotangents, angles };
}

/** Cotangent Laplacian (positive semidefinite) of the rest triangles on the vertex pattern. */
export function assembleLaplacian(
  rest: RestTriangles,
  pattern: BlockPattern,
  corners: CornerAngles,
): SymmetricMatrix {
  const matrix = vertexMatrix(pattern);
  const { values } = matrix;
  const { elementOffsets, shares } = rest;
  const { triangleSlots, elementPairOffsets, pairEntries } = pattern;
  const entry = (first: number, i: number, j: number) =>
    pairEntries[first + (i > j ? (i * (i + 1)) / 2 + j : (j * (j + 1)) / 2 + i)]!;
  for (let e = 0; e + 1 < elementOffsets.length; e++) {
    const first = elementPairOffsets[e]!;
    for (let t = elementOffsets[e]!; t < elementOffsets[e + 1]!; t++) {
      for (let k = 0; k < 3; k++) {
        const i = triangleSlots[3 * t + ((k + 1) % 3)]!;
        const j = triangleSlots[3 * t + ((k + 2) % 3)]!;
        const w = shares[t]! * corners.halfCotangents[3 * t + k]!;
        values[entry(first, i, j)]! -= w;
        values[entry(first, i, i)]! += w;
        values[entry(first, j, j)]! += w;
      }
    }
  }
  return matrix;
}

/** Sum of the face angles at each vertex, averaged over the fans of each polygon. */
export function angleSums(rest: RestTriangles, corners: CornerAngles): Float64Array {
  const sums = new Float64Array(rest.vertexCount);
  for (let t = 0; t < rest.triangleCount; t++)
    for (let k = 0; k < 3; k++)
      sums[rest.triangleVertices[3 * t + k]!]! += rest.shares[t]! * corners.angles[3 * t + k]!;
  return sums;
}

/** Solves with some unknowns given: removes their rows and columns from a matrix. */
export interface ReducedMatrix {
  readonly matrix: SymmetricMatrix;
  /** Reduced index of each unknown, -1 where it is given. */
  readonly reducedIndex: Int32Array;
  /** Unknown of each reduced index. */
  readonly fullIndex: Int32Array;
}

/** Keeps the rows and columns of the unknowns that are not given. */
export function reduceMatrix(matrix: SymmetricMatrix, isGiven: Uint8Array): ReducedMatrix {
  const { size, columnOffsets, entryRows, values } = matrix;
  const reducedIndex = new Int32Array(size).fill(-1);
  const fullIndex: number[] = [];
  for (let i = 0; i < size; i++) if (!isGiven[i]) reducedIndex[i] = fullIndex.push(i) - 1;
  const offsets = new Int32Array(fullIndex.length + 1);
  const rows: number[] = [];
  const kept: number[] = [];
  fullIndex.forEach((j, column) => {
    for (let p = columnOffsets[j]!; p < columnOffsets[j + 1]!; p++) {
      const row = reducedIndex[entryRows[p]!]!;
      if (row < 0) continue;
      rows.push(row);
      kept.push(values[p]!);
    }
    offsets[column + 1] = rows.length;
  });
  return {
    matrix: {
      size: fullIndex.length,
      columnOffsets: offsets,
      entryRows: Int32Array.from(rows),
      values: Float64Array.from(kept),
      slots: new Int32Array(0),
    },
    reducedIndex,
    fullIndex: Int32Array.from(fullIndex),
  };
}

/** Right-hand side of the reduced system: −(columns of the given unknowns) × their values. */
export function reducedRightHandSide(
  matrix: SymmetricMatrix,
  reduced: ReducedMatrix,
  given: Float64Array,
): Float64Array {
  const { columnOffsets, entryRows, values } = matrix;
  const { reducedIndex } = reduced;
  const right = new Float64Array(reduced.fullIndex.length);
  for (let j = 0; j < matrix.size; j++) {
    const rj = reducedIndex[j]!;
    for (let p = columnOffsets[j]!; p < columnOffsets[j + 1]!; p++) {
      const i = entryRows[p]!;
      const ri = reducedIndex[i]!;
      if (ri < 0 && rj >= 0) right[rj]! -= values[p]! * given[i]!;
      else if (rj < 0 && ri >= 0) right[ri]! -= values[p]! * given[j]!;
    }
  }
  return right;
}
