// The inner loops of the factorisation, each a small function of its own: a long one is optimised late.
// Four rows by two columns are what the registers hold (8 sums, 6 operands); larger tiles spill.

/**
 * Subtracts Σ_k left[row r][k] · right[column j][k] from target[r][j] for four rows and `columnCount` columns.
 *
 * Rows of `left` start at `leftStart + r · leftStride`, rows of `right` at `rightStart + j · depth`, row r of
 * the target at `t_r`.
 */
export function subtractProducts4(
  left: Float64Array,
  leftStart: number,
  leftStride: number,
  right: Float64Array,
  rightStart: number,
  depth: number,
  columnCount: number,
  target: Float64Array,
  t0: number,
  t1: number,
  t2: number,
  t3: number,
): void {
  const l1 = leftStart + leftStride;
  const l2 = l1 + leftStride;
  const l3 = l2 + leftStride;
  const pairEnd = columnCount & ~1;
  let r0 = rightStart;
  for (let j = 0; j < pairEnd; j += 2) {
    const r1 = r0 + depth;
    let s00 = 0;
    let s01 = 0;
    let s10 = 0;
    let s11 = 0;
    let s20 = 0;
    let s21 = 0;
    let s30 = 0;
    let s31 = 0;
    for (let k = 0; k < depth; k++) {
      const b0 = right[r0 + k]!;
      const b1 = right[r1 + k]!;
      const a0 = left[leftStart + k]!;
      s00 += a0 * b0;
      s01 += a0 * b1;
      const a1 = left[l1 + k]!;
      s10 += a1 * b0;
      s11 += a1 * b1;
      const a2 = left[l2 + k]!;
      s20 += a2 * b0;
      s21 += a2 * b1;
      const a3 = left[l3 + k]!;
      s30 += a3 * b0;
      s31 += a3 * b1;
    }
    target[t0 + j]! -= s00;
    target[t0 + j + 1]! -= s01;
    target[t1 + j]! -= s10;
    target[t1 + j + 1]! -= s11;
    target[t2 + j]! -= s20;
    target[t2 + j + 1]! -= s21;
    target[t3 + j]! -= s30;
    target[t3 + j + 1]! -= s31;
    r0 = r1 + depth;
  }
  if (pairEnd === columnCount) return;
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  for (let k = 0; k < depth; k++) {
    const b = right[r0 + k]!;
    s0 += left[leftStart + k]! * b;
    s1 += left[l1 + k]! * b;
    s2 += left[l2 + k]! * b;
    s3 += left[l3 + k]! * b;
  }
  target[t0 + pairEnd]! -= s0;
  target[t1 + pairEnd]! -= s1;
  target[t2 + pairEnd]! -= s2;
  target[t3 + pairEnd]! -= s3;
}

/** The same for one row. */
export function subtractProducts1(
  left: Float64Array,
  leftStart: number,
  right: Float64Array,
  rightStart: number,
  depth: number,
  columnCount: number,
  target: Float64Array,
  t0: number,
): void {
  let j = 0;
  let r0 = rightStart;
  for (; j + 3 < columnCount; j += 4) {
    const r1 = r0 + depth;
    const r2 = r1 + depth;
    const r3 = r2 + depth;
    let s0 = 0;
    let s1 = 0;
    let s2 = 0;
    let s3 = 0;
    for (let k = 0; k < depth; k++) {
      const a = left[leftStart + k]!;
      s0 += a * right[r0 + k]!;
      s1 += a * right[r1 + k]!;
      s2 += a * right[r2 + k]!;
      s3 += a * right[r3 + k]!;
    }
    target[t0 + j]! -= s0;
    target[t0 + j + 1]! -= s1;
    target[t0 + j + 2]! -= s2;
    target[t0 + j + 3]! -= s3;
    r0 = r3 + depth;
  }
  for (; j < columnCount; j++) {
    let s = 0;
    for (let k = 0; k < depth; k++) s += left[leftStart + k]! * right[r0 + k]!;
    target[t0 + j]! -= s;
    r0 += depth;
  }
}

/**
 * Solves a row against a unit lower triangle: row[j] -= Σ_{k<j} row[k] · triangle[j][k] for j ascending. Rows of the
 * triangle start at `triangleStart + j · stride`.
 */
export function solveRow(
  values: Float64Array,
  rowStart: number,
  triangleStart: number,
  stride: number,
  width: number,
): void {
  let q = triangleStart;
  for (let j = 0; j < width; j++) {
    let s = values[rowStart + j]!;
    for (let k = 0; k < j; k++) s -= values[rowStart + k]! * values[q + k]!;
    values[rowStart + j] = s;
    q += stride;
  }
}
