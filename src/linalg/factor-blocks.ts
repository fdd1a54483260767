import {
  solveRow,
  solveRows4,
  subtractProducts1,
  subtractProducts4,
  subtractTriangle4,
} from './dense-kernels.js';
import type { SupernodeLayout } from './supernode-layout.js';
import { triangleSize } from './supernode-layout.js';

/** Columns eliminated at a time: deep enough for the product kernel, few enough for the cache. */
const PANEL_WIDTH = 48;

/** Room to work in, kept between factorisations. */
export interface FactorWorkspace {
  /** Updates waiting for their parents, packed lower triangles, last in first out. */
  readonly stack: Float64Array;
  /** Scaled copy of a panel's rows. */
  readonly scaled: Float64Array;
}

export function createWorkspace(layout: SupernodeLayout): FactorWorkspace {
  let most = 0;
  for (let s = 0; s < layout.count; s++) {
    const width = layout.firstColumns[s + 1]! - layout.firstColumns[s]!;
    const rowCount = width + layout.rowOffsets[s + 1]! - layout.rowOffsets[s]!;
    most = Math.max(most, rowCount * Math.min(width, PANEL_WIDTH));
  }
  return { stack: new Float64Array(layout.stackSize), scaled: new Float64Array(most) };
}

/**
 * Factors in place, block after block, by the multifrontal method: a block takes in the updates of its
 * children, is eliminated, and leaves its own update for its parent.
 *
 * @param values - the blocks, holding the matrix; overwritten by L (without its unit diagonal)
 * @param pivots - D, written in elimination order
 * @param floors - least pivot accepted at each step
 * @returns -1, or the step at which the pivot was at or below its floor
 *
 * Reference: Duff & Reid, "The multifrontal solution of indefinite sparse symmetric linear equations",
 * ACM Trans. Math. Softw. 9(3), 1983. Against the left-looking method it makes one update per block in
 * place of one per block and ancestor, so kernel calls are fewer and larger.
 */
export function factorBlocks(
  layout: SupernodeLayout,
  values: Float64Array,
  pivots: Float64Array,
  floors: Float64Array,
  workspace: FactorWorkspace,
): number {
  const { count, firstColumns, rowOffsets, blockOffsets, parents, parentPositions } = layout;
  const { stack, scaled } = workspace;
  // Children wait on top of the stack in order; the last is on top.
  const lastChild = new Int32Array(count).fill(-1);
  const previousSibling = new Int32Array(count);
  let top = 0;
  for (let s = 0; s < count; s++) {
    const start = blockOffsets[s]!;
    const first = firstColumns[s]!;
    const width = firstColumns[s + 1]! - first;
    const below = rowOffsets[s + 1]! - rowOffsets[s]!;
    const size = triangleSize(below);
    stack.fill(0, top, top + size);
    let childTop = top;
    for (let c = lastChild[s]!; c >= 0; c = previousSibling[c]!) {
      const childRows = rowOffsets[c + 1]! - rowOffsets[c]!;
      childTop -= triangleSize(childRows);
      addUpdate(stack, childTop, parentPositions, rowOffsets[c]!, childRows, values, start, width, top);
    }
    for (let from = 0; from < width; from += PANEL_WIDTH) {
      const depth = Math.min(PANEL_WIDTH, width - from);
      const failed = eliminatePanel(
        values,
        start,
        width,
        from,
        depth,
        width + below,
        pivots,
        floors,
        first,
        scaled,
      );
      if (failed >= 0) return failed;
      updateBlock(values, start, width, from, depth, width + below, scaled);
      updateTriangle(values, start, width, from, depth, below, scaled, stack, top);
    }
    if (childTop < top) stack.copyWithin(childTop, top, top + size);
    top = childTop + size;
    const parent = parents[s]!;
    if (parent >= 0) {
      previousSibling[s] = lastChild[parent]!;
      lastChild[parent] = s;
    }
  }
  return -1;
}

/** Adds a child's update to its parent's block and to the parent's own update. */
function addUpdate(
  stack: Float64Array,
  from: number,
  positions: Int32Array,
  firstPosition: number,
  rowCount: number,
  values: Float64Array,
  blockStart: number,
  width: number,
  updateStart: number,
): void {
  let own = 0;
  while (own < rowCount && positions[firstPosition + own]! < width) own++;
  let source = from;
  for (let i = 0; i < own; i++) {
    const target = blockStart + positions[firstPosition + i]! * width;
    for (let j = 0; j <= i; j++) values[target + positions[firstPosition + j]!]! += stack[source++]!;
  }
  for (let i = own; i < rowCount; i++) {
    const row = positions[firstPosition + i]!;
    const target = blockStart + row * width;
    for (let j = 0; j < own; j++) values[target + positions[firstPosition + j]!]! += stack[source++]!;
    const below = row - width;
    const update = updateStart + triangleSize(below) - width;
    for (let j = own; j <= i; j++) stack[update + positions[firstPosition + j]!]! += stack[source++]!;
  }
}

/**
 * Eliminates columns from..from+depth of a block and leaves the rows under them unscaled (L·D) in `scaled`.
 * Returns the failing step or -1.
 */
function eliminatePanel(
  values: Float64Array,
  start: number,
  width: number,
  from: number,
  depth: number,
  rowCount: number,
  pivots: Float64Array,
  floors: Float64Array,
  firstColumn: number,
  scaled: Float64Array,
): number {
  const triangle = start + from * width + from;
  const firstStep = firstColumn + from;
  for (let i = 0; i < depth; i++) {
    const row = triangle + i * width;
    const solved = i & ~3;
    if (i === solved && i + 4 <= depth) solveRows4(values, row, triangle, width, i);
    solveRow(values, row, triangle, width, i < (depth & ~3) ? solved : 0, i);
    const pivot = divideRow(values, row, i, pivots, firstStep);
    pivots[firstStep + i] = pivot;
    if (!(pivot > floors[firstStep + i]!)) return firstStep + i;
  }
  let i = from + depth;
  for (; i + 3 < rowCount; i += 4) solveRows4(values, start + i * width + from, triangle, width, depth);
  for (; i < rowCount; i++) solveRow(values, start + i * width + from, triangle, width, 0, depth);
  scaleRows(
    values,
    start + (from + depth) * width + from,
    width,
    rowCount - from - depth,
    depth,
    pivots,
    firstColumn + from,
    scaled,
  );
  return -1;
}

/** Turns a solved row L·D into L and returns its pivot. */
function divideRow(
  values: Float64Array,
  row: number,
  length: number,
  pivots: Float64Array,
  firstPivot: number,
): number {
  let pivot = values[row + length]!;
  for (let k = 0; k < length; k++) {
    const y = values[row + k]!;
    const l = y / pivots[firstPivot + k]!;
    pivot -= y * l;
    values[row + k] = l;
  }
  values[row + length] = pivot;
  return pivot;
}

/** Copies solved rows L·D to `scaled` and divides them by the pivots in place. */
function scaleRows(
  values: Float64Array,
  start: number,
  stride: number,
  rowCount: number,
  depth: number,
  pivots: Float64Array,
  firstPivot: number,
  scaled: Float64Array,
): void {
  for (let k = 0; k < depth; k++) {
    const inverse = 1 / pivots[firstPivot + k]!;
    let p = start + k;
    let q = k;
    for (let i = 0; i < rowCount; i++) {
      const y = values[p]!;
      scaled[q] = y;
      values[p] = y * inverse;
      p += stride;
      q += depth;
    }
  }
}

/**
 * Updates the block's columns to the right of a panel. Entries above the diagonal are written too where the
 * tiles reach there; nothing reads them.
 */
function updateBlock(
  values: Float64Array,
  start: number,
  width: number,
  from: number,
  depth: number,
  rowCount: number,
  scaled: Float64Array,
): void {
  const end = from + depth;
  if (end === width) return;
  let left = start + end * width + from;
  let target = start + end * width + end;
  let i = end;
  for (; i + 3 < rowCount; i += 4) {
    const columns = Math.min(width, i + 4) - end;
    subtractProducts4(
      values,
      left,
      width,
      scaled,
      0,
      depth,
      columns,
      values,
      target,
      target + width,
      target + 2 * width,
      target + 3 * width,
    );
    left += 4 * width;
    target += 4 * width;
  }
  for (; i < rowCount; i++) {
    subtractProducts1(values, left, scaled, 0, depth, Math.min(width, i + 1) - end, values, target);
    left += width;
    target += width;
  }
}

/** Subtracts L · D · Lᵀ of a panel from the block's update. */
function updateTriangle(
  values: Float64Array,
  start: number,
  width: number,
  from: number,
  depth: number,
  below: number,
  scaled: Float64Array,
  stack: Float64Array,
  top: number,
): void {
  const right = (width - from - depth) * depth;
  let left = start + width * width + from;
  let t0 = top;
  let i = 0;
  for (; i + 3 < below; i += 4) {
    const t1 = t0 + i + 1;
    const t2 = t1 + i + 2;
    const t3 = t2 + i + 3;
    subtractProducts4(values, left, width, scaled, right, depth, i, stack, t0, t1, t2, t3);
    subtractTriangle4(
      values,
      left,
      width,
      scaled,
      right + i * depth,
      depth,
      stack,
      t0 + i,
      t1 + i,
      t2 + i,
      t3 + i,
    );
    left += 4 * width;
    t0 = t3 + i + 4;
  }
  for (; i < below; i++) {
    subtractProducts1(values, left, scaled, right, depth, i + 1, stack, t0);
    left += width;
    t0 += i + 1;
  }
}
