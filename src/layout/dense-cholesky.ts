/**
 * Cholesky factor of the lower triangle of a symmetric matrix, in place; false when a pivot is not finite or above 0.
 *
 * @param a - n × n, by rows
 * @param floor - pivots are lifted to this share of their diagonal entry
 */
export function factorDense(a: Float64Array, n: number, floor = 0): boolean {
  for (let j = 0; j < n; j++) {
    const row = j * n;
    let d = a[row + j]!;
    const least = floor * d;
    for (let k = 0; k < j; k++) d -= a[row + k]! * a[row + k]!;
    d = Math.sqrt(Math.max(d, least));
    if (!(d > 0) || !Number.isFinite(d)) return false;
    a[row + j] = d;
    for (let i = j + 1; i < n; i++) {
      const other = i * n;
      let s = a[other + j]!;
      for (let k = 0; k < j; k++) s -= a[other + k]! * a[row + k]!;
      a[other + j] = s / d;
    }
  }
  return true;
}

/** Solves with a factor of factorDense; `right` and `out` have n entries. */
export function solveDense(a: Float64Array, n: number, right: Float64Array, out: Float64Array): void {
  for (let i = 0; i < n; i++) {
    let s = right[i]!;
    for (let k = 0; k < i; k++) s -= a[i * n + k]! * out[k]!;
    out[i] = s / a[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    let s = out[i]!;
    for (let k = i + 1; k < n; k++) s -= a[k * n + i]! * out[k]!;
    out[i] = s / a[i * n + i]!;
  }
}
