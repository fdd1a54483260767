import fc from 'fast-check';
import { invertPermutation } from '../../src/linalg/elimination-tree.js';
import type { SymmetricMatrix } from '../../src/linalg/index.js';
import { assembleSymmetric } from '../../src/linalg/index.js';

export interface Triplets {
  readonly size: number;
  readonly rows: readonly number[];
  readonly columns: readonly number[];
  readonly values: readonly number[];
}

export const assemble = (t: Triplets): SymmetricMatrix =>
  assembleSymmetric(t.size, t.rows, t.columns, t.values);

/** The matrix as dense rows. */
export function toDense(matrix: SymmetricMatrix): number[][] {
  const dense = Array.from({ length: matrix.size }, () => new Array<number>(matrix.size).fill(0));
  for (let j = 0; j < matrix.size; j++)
    for (let p = matrix.columnOffsets[j]!; p < matrix.columnOffsets[j + 1]!; p++) {
      const i = matrix.entryRows[p]!;
      dense[i]![j] = matrix.values[p]!;
      dense[j]![i] = matrix.values[p]!;
    }
  return dense;
}

/** Graph Laplacian of weighted edges plus a diagonal: positive definite where the diagonal is positive. */
export function laplacian(
  size: number,
  edges: readonly (readonly [number, number, number])[],
  diagonal: readonly number[],
): Triplets {
  const rows: number[] = [];
  const columns: number[] = [];
  const values: number[] = [];
  const add = (i: number, j: number, value: number) => {
    rows.push(i);
    columns.push(j);
    values.push(value);
  };
  for (const [i, j, weight] of edges) {
    if (i === j) continue;
    add(i, j, -weight);
    add(i, i, weight);
    add(j, j, weight);
  }
  diagonal.forEach((value, i) => {
    if (value !== 0) add(i, i, value);
  });
  return { size, rows, columns, values };
}

/** A side × side grid's graph. */
export function gridEdges(side: number): [number, number, number][] {
  const edges: [number, number, number][] = [];
  for (let i = 0; i < side; i++)
    for (let j = 0; j < side; j++) {
      if (j + 1 < side) edges.push([i * side + j, i * side + j + 1, 1]);
      if (i + 1 < side) edges.push([i * side + j, (i + 1) * side + j, 1]);
    }
  return edges;
}

/** Random sparse positive definite systems: sparse to full, several components, weights over six decades. */
export const positiveSystems = (maxSize: number): fc.Arbitrary<Triplets> =>
  fc
    .integer({ min: 1, max: maxSize })
    .chain((size) =>
      fc.tuple(
        fc.constant(size),
        fc.array(
          fc.tuple(
            fc.nat(size - 1),
            fc.nat(size - 1),
            fc.double({ min: -3, max: 3, noNaN: true }).map((x) => 10 ** x),
          ),
          { maxLength: 4 * size },
        ),
        fc.array(fc.double({ min: -2, max: 2, noNaN: true }), { minLength: size, maxLength: size }),
      ),
    )
    .map(([size, edges, logs]) =>
      laplacian(
        size,
        edges,
        logs.map((x) => 10 ** x),
      ),
    );

/** ‖A x − b‖∞ / (‖A‖∞ ‖x‖∞ + ‖b‖∞). */
export function backwardError(matrix: SymmetricMatrix, x: Float64Array, b: Float64Array): number {
  const product = new Float64Array(matrix.size);
  const rowSums = new Float64Array(matrix.size);
  for (let j = 0; j < matrix.size; j++)
    for (let p = matrix.columnOffsets[j]!; p < matrix.columnOffsets[j + 1]!; p++) {
      const i = matrix.entryRows[p]!;
      const value = matrix.values[p]!;
      product[i]! += value * x[j]!;
      rowSums[i]! += Math.abs(value);
      if (i === j) continue;
      product[j]! += value * x[i]!;
      rowSums[j]! += Math.abs(value);
    }
  const largest = (list: Float64Array) => list.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  const residual = largest(product.map((value, i) => value - b[i]!));
  return residual / (largest(rowSums) * largest(x) + largest(b));
}

/** Right-hand side without symmetry. */
export const sineVector = (size: number, phase = 1): Float64Array =>
  Float64Array.from({ length: size }, (_, i) => Math.sin(phase + 1.7 * i));

/** A permutation of 0..size-1 from a list of sort keys. */
export const permutationOf = (keys: readonly number[]): number[] =>
  keys.map((_, i) => i).sort((a, b) => keys[a]! - keys[b]! || a - b);

/** Rows of every column of the factor, by elimination on sets. */
export function eliminate(system: Triplets, order: Int32Array): Set<number>[] {
  const ranks = invertPermutation(order);
  const columns = Array.from({ length: system.size }, (_, k) => new Set([k]));
  system.rows.forEach((row, t) => {
    const a = ranks[row]!;
    const b = ranks[system.columns[t]!]!;
    columns[Math.min(a, b)]!.add(Math.max(a, b));
  });
  for (const [k, column] of columns.entries()) {
    const above = [...column].filter((row) => row > k);
    const parent = Math.min(...above);
    for (const row of above) columns[parent]!.add(row);
  }
  return columns;
}
