import type { SupernodeLayout } from './supernode-layout.js';

/** Solves L D Lᵀ x = b in place, in elimination numbering. */
export function solveBlocks(
  layout: SupernodeLayout,
  values: Float64Array,
  pivots: Float64Array,
  x: Float64Array,
): void {
  for (let s = 0; s < layout.count; s++) forward(layout, values, s, x);
  for (let j = 0; j < x.length; j++) x[j]! /= pivots[j]!;
  const sums = new Float64Array(layout.most.columns);
  for (let s = layout.count - 1; s >= 0; s--) backward(layout, values, s, x, sums);
}

function forward(layout: SupernodeLayout, values: Float64Array, s: number, x: Float64Array): void {
  const { firstColumns, rowOffsets, rows, blockOffsets } = layout;
  const first = firstColumns[s]!;
  const width = firstColumns[s + 1]! - first;
  let p = blockOffsets[s]! + width;
  for (let i = 1; i < width; i++) {
    let sum = x[first + i]!;
    for (let k = 0; k < i; k++) sum -= values[p + k]! * x[first + k]!;
    x[first + i] = sum;
    p += width;
  }
  p = blockOffsets[s]! + width * width;
  const end = rowOffsets[s + 1]!;
  let q = rowOffsets[s]!;
  for (; q + 3 < end; q += 4) {
    subtractRows4(values, p, width, x, first, rows, q);
    p += 4 * width;
  }
  for (; q < end; q++) {
    let sum = 0;
    for (let k = 0; k < width; k++) sum += values[p + k]! * x[first + k]!;
    x[rows[q]!]! -= sum;
    p += width;
  }
}

/** Four rows at a time: each value of x is read once for all. */
function subtractRows4(
  values: Float64Array,
  p0: number,
  width: number,
  x: Float64Array,
  first: number,
  rows: Int32Array,
  q: number,
): void {
  const p1 = p0 + width;
  const p2 = p1 + width;
  const p3 = p2 + width;
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  for (let k = 0; k < width; k++) {
    const xk = x[first + k]!;
    s0 += values[p0 + k]! * xk;
    s1 += values[p1 + k]! * xk;
    s2 += values[p2 + k]! * xk;
    s3 += values[p3 + k]! * xk;
  }
  x[rows[q]!]! -= s0;
  x[rows[q + 1]!]! -= s1;
  x[rows[q + 2]!]! -= s2;
  x[rows[q + 3]!]! -= s3;
}

function backward(
  layout: SupernodeLayout,
  values: Float64Array,
  s: number,
  x: Float64Array,
  sums: Float64Array,
): void {
  const { firstColumns, rowOffsets, rows, blockOffsets } = layout;
  const first = firstColumns[s]!;
  const width = firstColumns[s + 1]! - first;
  for (let k = 0; k < width; k++) sums[k] = x[first + k]!;
  let p = blockOffsets[s]! + width * width;
  const end = rowOffsets[s + 1]!;
  let q = rowOffsets[s]!;
  for (; q + 3 < end; q += 4) {
    gatherRows4(values, p, width, x, rows, q, sums);
    p += 4 * width;
  }
  for (; q < end; q++) {
    const xi = x[rows[q]!]!;
    for (let k = 0; k < width; k++) sums[k]! -= values[p + k]! * xi;
    p += width;
  }
  for (let i = width - 1; i >= 0; i--) {
    const xi = sums[i]!;
    x[first + i] = xi;
    p = blockOffsets[s]! + i * width;
    for (let k = 0; k < i; k++) sums[k]! -= values[p + k]! * xi;
  }
}

function gatherRows4(
  values: Float64Array,
  p0: number,
  width: number,
  x: Float64Array,
  rows: Int32Array,
  q: number,
  sums: Float64Array,
): void {
  const p1 = p0 + width;
  const p2 = p1 + width;
  const p3 = p2 + width;
  const x0 = x[rows[q]!]!;
  const x1 = x[rows[q + 1]!]!;
  const x2 = x[rows[q + 2]!]!;
  const x3 = x[rows[q + 3]!]!;
  for (let k = 0; k < width; k++)
    sums[k]! -= values[p0 + k]! * x0 + values[p1 + k]! * x1 + values[p2 + k]! * x2 + values[p3 + k]! * x3;
}
