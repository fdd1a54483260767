import { listMembers } from '../structures/index.js';

/** A sparse symmetric matrix: its lower triangle in compressed columns, row indices ascending. */
export interface SymmetricMatrix {
  /** Number of rows and columns. */
  readonly size: number;
  /** First entry of each column, and the entry count at the end: size + 1. */
  readonly columnOffsets: Int32Array;
  /** Row of each entry, at least its column; every diagonal entry is present. */
  readonly entryRows: Int32Array;
  readonly values: Float64Array;
  /** Entry that each triplet was added to. */
  readonly slots: Int32Array;
}

/**
 * Assembles a symmetric matrix from triplets. A triplet off the diagonal stands for the entry and its
 * mirror image, so give each pair once, as (row, column) or (column, row); duplicates are summed.
 *
 * @param size - number of unknowns
 * @param rows - row per triplet, 0..size-1
 * @param columns - column per triplet, 0..size-1
 * @param values - value per triplet; left out, the matrix has its pattern and zeros
 *
 * Linear in size and triplets: two passes of a counting sort.
 *
 * @example
 * const matrix = assembleSymmetric(2, [0, 1, 1], [0, 0, 1], [2, -1, 2]);
 * new LdlSolver(analyse(matrix)).factor(matrix.values).solve(Float64Array.of(1, 0)); // [2/3, 1/3]
 */
export function assembleSymmetric(
  size: number,
  rows: ArrayLike<number>,
  columns: ArrayLike<number>,
  values?: ArrayLike<number>,
): SymmetricMatrix {
  // Sorted by row first, then stably by column, entries come out column by column with ascending rows.
  const tripletCount = rows.length;
  const pairCount = tripletCount + size;
  const low = new Int32Array(pairCount);
  const high = new Int32Array(pairCount);
  low.set(columns);
  high.set(rows);
  orientPairs(low, high, tripletCount);
  for (let i = 0; i < size; i++) low[tripletCount + i] = high[tripletCount + i] = i;
  const order = listMembers(low, size, listMembers(high, size).members).members;
  const slots = new Int32Array(tripletCount);
  const entryRows = new Int32Array(pairCount);
  const columnOffsets = new Int32Array(size + 1);
  let entryCount = 0;
  let lastRow = -1;
  let lastColumn = -1;
  for (let i = 0; i < pairCount; i++) {
    const k = order[i]!;
    if (high[k] !== lastRow || low[k] !== lastColumn) {
      lastRow = high[k]!;
      lastColumn = low[k]!;
      entryRows[entryCount++] = lastRow;
      columnOffsets[lastColumn + 1] = entryCount;
    }
    if (k < tripletCount) slots[k] = entryCount - 1;
  }
  const matrix = {
    size,
    columnOffsets,
    entryRows: entryRows.slice(0, entryCount),
    values: new Float64Array(entryCount),
    slots,
  };
  if (values) sumTriplets(matrix, values, matrix.values);
  return matrix;
}

/**
 * Sums new triplet values, given in the order of assembly, into an entry array of the same pattern.
 * Returns `out`, which is overwritten.
 */
export function sumTriplets(
  matrix: SymmetricMatrix,
  values: ArrayLike<number>,
  out: Float64Array = new Float64Array(matrix.entryRows.length),
): Float64Array {
  const { slots } = matrix;
  out.fill(0);
  for (let k = 0; k < slots.length; k++) out[slots[k]!]! += values[k]!;
  return out;
}

/** Swaps pairs so that `low` holds the lower index. */
function orientPairs(low: Int32Array, high: Int32Array, count: number): void {
  for (let k = 0; k < count; k++) {
    const a = low[k]!;
    const b = high[k]!;
    if (a <= b) continue;
    low[k] = b;
    high[k] = a;
  }
}
