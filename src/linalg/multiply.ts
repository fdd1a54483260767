import type { SymmetricMatrix } from './symmetric-matrix.js';

/**
 * Product of a symmetric matrix and a vector. Returns `out`, which is overwritten and must not be `x`.
 *
 * @param values - entry values in place of the matrix's own
 */
export function multiply(
  matrix: SymmetricMatrix,
  x: Float64Array,
  out: Float64Array = new Float64Array(matrix.size),
  values = matrix.values,
): Float64Array {
  const { size, columnOffsets, entryRows } = matrix;
  out.fill(0);
  for (let j = 0; j < size; j++) {
    const xj = x[j]!;
    let sum = 0;
    for (let p = columnOffsets[j]!; p < columnOffsets[j + 1]!; p++) {
      const i = entryRows[p]!;
      if (i === j) sum += values[p]! * xj;
      else {
        sum += values[p]! * x[i]!;
        out[i]! += values[p]! * xj;
      }
    }
    out[j]! += sum;
  }
  return out;
}
