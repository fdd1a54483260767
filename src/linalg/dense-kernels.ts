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
 * The lower triangle of four rows against their own columns: subtracts Σ_k left[r][k] · right[c][k] from
 * target[r][c] for c ≤ r < 4. Row r of the target has its column 0 of the triangle at `t_r`.
 */
export function subtractTriangle4(
  left: Float64Array,
  leftStart: number,
  leftStride: number,
  right: Float64Array,
  rightStart: number,
  depth: number,
  target: Float64Array,
  t0: number,
  t1: number,
  t2: number,
  t3: number,
): void {
  const l1 = leftStart + leftStride;
  const l2 = l1 + leftStride;
  const l3 = l2 + leftStride;
  const r1 = rightStart + depth;
  const r2 = r1 + depth;
  const r3 = r2 + depth;
  let s00 = 0;
  let s10 = 0;
  let s11 = 0;
  let s20 = 0;
  let s21 = 0;
  let s22 = 0;
  let s30 = 0;
  let s31 = 0;
  let s32 = 0;
  let s33 = 0;
  for (let k = 0; k < depth; k++) {
    const a3 = left[l3 + k]!;
    const b0 = right[rightStart + k]!;
    s30 += a3 * b0;
    const a2 = left[l2 + k]!;
    s20 += a2 * b0;
    const a1 = left[l1 + k]!;
    s10 += a1 * b0;
    s00 += left[leftStart + k]! * b0;
    const b1 = right[r1 + k]!;
    s11 += a1 * b1;
    s21 += a2 * b1;
    s31 += a3 * b1;
    const b2 = right[r2 + k]!;
    s22 += a2 * b2;
    s32 += a3 * b2;
    s33 += a3 * right[r3 + k]!;
  }
  target[t0]! -= s00;
  target[t1]! -= s10;
  target[t1 + 1]! -= s11;
  target[t2]! -= s20;
  target[t2 + 1]! -= s21;
  target[t2 + 2]! -= s22;
  target[t3]! -= s30;
  target[t3 + 1]! -= s31;
  target[t3 + 2]! -= s32;
  target[t3 + 3]! -= s33;
}

/**
 * Solves four rows against a unit lower triangle: row[j] -= Σ_{k<j} row[k] · triangle[j][k] for j ascending.
 * Rows start at `rowStart + r · stride`, rows of the triangle at `triangleStart + j · stride`.
 */
export function solveRows4(
  values: Float64Array,
  rowStart: number,
  triangleStart: number,
  stride: number,
  width: number,
): void {
  const r1 = rowStart + stride;
  const r2 = r1 + stride;
  const r3 = r2 + stride;
  const pairEnd = width & ~1;
  let q0 = triangleStart;
  for (let j = 0; j < pairEnd; j += 2) {
    const q1 = q0 + stride;
    let s00 = values[rowStart + j]!;
    let s01 = values[rowStart + j + 1]!;
    let s10 = values[r1 + j]!;
    let s11 = values[r1 + j + 1]!;
    let s20 = values[r2 + j]!;
    let s21 = values[r2 + j + 1]!;
    let s30 = values[r3 + j]!;
    let s31 = values[r3 + j + 1]!;
    for (let k = 0; k < j; k++) {
      const b0 = values[q0 + k]!;
      const b1 = values[q1 + k]!;
      const a0 = values[rowStart + k]!;
      s00 -= a0 * b0;
      s01 -= a0 * b1;
      const a1 = values[r1 + k]!;
      s10 -= a1 * b0;
      s11 -= a1 * b1;
      const a2 = values[r2 + k]!;
      s20 -= a2 * b0;
      s21 -= a2 * b1;
      const a3 = values[r3 + k]!;
      s30 -= a3 * b0;
      s31 -= a3 * b1;
    }
    const corner = values[q1 + j]!;
    values[rowStart + j] = s00;
    values[rowStart + j + 1] = s01 - s00 * corner;
    values[r1 + j] = s10;
    values[r1 + j + 1] = s11 - s10 * corner;
    values[r2 + j] = s20;
    values[r2 + j + 1] = s21 - s20 * corner;
    values[r3 + j] = s30;
    values[r3 + j + 1] = s31 - s30 * corner;
    q0 = q1 + stride;
  }
  if (pairEnd === width) return;
  solveRow(values, rowStart, triangleStart, stride, pairEnd, width);
  solveRow(values, r1, triangleStart, stride, pairEnd, width);
  solveRow(values, r2, triangleStart, stride, pairEnd, width);
  solveRow(values, r3, triangleStart, stride, pairEnd, width);
}

/** The same for one row, whose columns before `from` are solved already. */
export function solveRow(
  values: Float64Array,
  rowStart: number,
  triangleStart: number,
  stride: number,
  from: number,
  width: number,
): void {
  let q = triangleStart + from * stride;
  for (let j = from; j < width; j++) {
    let s = values[rowStart + j]!;
    for (let k = 0; k < j; k++) s -= values[rowStart + k]! * values[q + k]!;
    values[rowStart + j] = s;
    q += stride;
  }
}
