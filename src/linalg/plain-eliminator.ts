import type { BlockEliminator, FactorTask } from './block-eliminator.js';
import { PANEL_WIDTH } from './block-eliminator.js';
import { solveRow, subtractProducts1, subtractProducts4 } from './dense-kernels.js';
import { triangleSize } from './supernode-layout.js';

/** Eliminates blocks in place, without compiled code. */
export class PlainEliminator implements BlockEliminator {
  readonly stack: Float64Array;
  readonly #task: FactorTask;
  /** Scaled copy of a panel's rows. */
  readonly #scaled: Float64Array;
  /** The open block, and where its update is. */
  #open = 0;
  #top = 0;

  constructor(task: FactorTask) {
    const { layout } = task;
    this.#task = task;
    this.stack = new Float64Array(layout.stackSize);
    this.#scaled = new Float64Array(layout.most.rows * Math.min(layout.most.columns, PANEL_WIDTH));
  }

  open(s: number, top: number): void {
    this.#open = s;
    this.#top = top;
  }

  addChild(child: number, from: number): void {
    const { values, layout } = this.#task;
    const { firstColumns, rowOffsets, blockOffsets, parentPositions } = layout;
    const { stack } = this;
    const start = blockOffsets[this.#open]!;
    const width = firstColumns[this.#open + 1]! - firstColumns[this.#open]!;
    const first = rowOffsets[child]!;
    const rowCount = rowOffsets[child + 1]! - first;
    let source = from;
    for (let i = 0; i < rowCount; i++) {
      const row = parentPositions[first + i]!;
      const target = start + row * width;
      let j = 0;
      for (; j <= i && parentPositions[first + j]! < width; j++)
        values[target + parentPositions[first + j]!]! += stack[source++]!;
      const update = this.#top + triangleSize(row - width) - width;
      for (; j <= i; j++) stack[update + parentPositions[first + j]!]! += stack[source++]!;
    }
  }

  eliminate(): number {
    const { layout, values, pivots, floors } = this.#task;
    const { firstColumns, rowOffsets, blockOffsets } = layout;
    const s = this.#open;
    const start = blockOffsets[s]!;
    const first = firstColumns[s]!;
    const width = firstColumns[s + 1]! - first;
    const below = rowOffsets[s + 1]! - rowOffsets[s]!;
    const rows = width + below;
    const scaled = this.#scaled;
    for (let from = 0; from < width; from += PANEL_WIDTH) {
      const depth = Math.min(PANEL_WIDTH, width - from);
      const failed = eliminatePanel(values, start, width, from, depth, rows, pivots, floors, first, scaled);
      if (failed >= 0) return failed;
      updateBlock(values, start, width, from, depth, rows, scaled);
      updateTriangle(values, start, width, from, depth, below, scaled, this.stack, this.#top);
    }
    return -1;
  }
}

/**
 * Eliminates columns from..from+depth of a block and leaves the rows under them unscaled (L·D) in `scaled`.
 * Returns the failing column of the block or -1.
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
    solveRow(values, row, triangle, width, i);
    const pivot = divideRow(values, row, i, pivots, firstStep);
    pivots[firstStep + i] = pivot;
    if (!(pivot > floors[firstStep + i]!)) return from + i;
  }
  for (let i = from + depth; i < rowCount; i++)
    solveRow(values, start + i * width + from, triangle, width, depth);
  scaleRows(
    values,
    start + (from + depth) * width + from,
    width,
    rowCount - from - depth,
    depth,
    pivots,
    firstStep,
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
    // The rows' own columns end at the diagonal.
    let t = t0 + i;
    for (let r = 0; r < 4; r++) {
      subtractProducts1(values, left + r * width, scaled, right + i * depth, depth, r + 1, stack, t);
      t += i + r + 1;
    }
    left += 4 * width;
    t0 = t3 + i + 4;
  }
  for (; i < below; i++) {
    subtractProducts1(values, left, scaled, right, depth, i + 1, stack, t0);
    left += width;
    t0 += i + 1;
  }
}
