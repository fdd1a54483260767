// Elimination of one block of the LDLᵀ factor, with vectors of two numbers, in AssemblyScript. ../plain-eliminator.ts does
// the same; every entry is summed in the same order, so that both give the same bits.

/** Columns eliminated at a time: PANEL_WIDTH of ../block-eliminator.ts. */
const PANEL: i32 = 48;

// @ts-ignore: decorator
@inline
function at(base: usize, index: i32): usize {
  return base + ((<usize>index) << 3);
}

/** Factors the triangle on the diagonal of a panel, row by row. Returns the failing row or -1. */
function factorTriangle(triangle: usize, width: i32, depth: i32, pivots: usize, floors: usize): i32 {
  for (let i = 0; i < depth; i++) {
    const row = at(triangle, i * width);
    for (let j = 1; j < i; j++) {
      const other = at(triangle, j * width);
      let s = load<f64>(at(row, j));
      for (let k = 0; k < j; k++) s -= load<f64>(at(row, k)) * load<f64>(at(other, k));
      store<f64>(at(row, j), s);
    }
    let pivot = load<f64>(at(row, i));
    for (let k = 0; k < i; k++) {
      const y = load<f64>(at(row, k));
      const l = y / load<f64>(at(pivots, k));
      pivot -= y * l;
      store<f64>(at(row, k), l);
    }
    store<f64>(at(row, i), pivot);
    store<f64>(at(pivots, i), pivot);
    if (!(pivot > load<f64>(at(floors, i)))) return i;
  }
  return -1;
}

/** Solves the rows under the triangle; leaves L in the block and L · D, column after column, in the panel. */
function solveRows(
  rows: usize, rowCount: i32, width: i32, triangle: usize, depth: i32, pivots: usize, panel: usize, stride: i32,
): void {
  for (let k = 0; k < depth; k++) {
    const column = at(panel, k * stride);
    let source = at(rows, k);
    for (let i = 0; i < rowCount; i++) {
      store<f64>(at(column, i), load<f64>(source));
      source += (<usize>width) << 3;
    }
    for (let i = rowCount; i < stride; i++) store<f64>(at(column, i), 0);
  }
  const step = (<usize>stride) << 3;
  for (let i = 0; i < stride; i += 4) {
    const base = at(panel, i);
    for (let j = 0; j < depth; j++) {
      const t0 = at(triangle, j * width);
      const x0 = base + <usize>j * step;
      let a0 = v128.load(x0);
      let b0 = v128.load(x0, 16);
      let x = base;
      for (let k = 0; k < j; k++) {
        const c0 = v128.load64_splat(at(t0, k));
        a0 = f64x2.sub(a0, f64x2.mul(v128.load(x), c0));
        b0 = f64x2.sub(b0, f64x2.mul(v128.load(x, 16), c0));
        x += step;
      }
      v128.store(x0, a0);
      v128.store(x0, b0, 16);
    }
  }
  for (let k = 0; k < depth; k++) {
    const column = at(panel, k * stride);
    const inverse = 1 / load<f64>(at(pivots, k));
    let target = at(rows, k);
    for (let i = 0; i < rowCount; i++) {
      store<f64>(target, load<f64>(at(column, i)) * inverse);
      target += (<usize>width) << 3;
    }
  }
}

/** Subtracts the products of one row with some columns of the panel. */
function subtractRow(left: usize, right: usize, step: usize, depth: i32, count: i32, target: usize): void {
  for (let j = 0; j < count; j++) {
    let s: f64 = 0;
    let r = at(right, j);
    for (let k = 0; k < depth; k++) {
      s += load<f64>(at(left, k)) * load<f64>(r);
      r += step;
    }
    store<f64>(at(target, j), load<f64>(at(target, j)) - s);
  }
}

// @ts-ignore: decorator
@inline
function subtractAt(target: usize, s: v128): void {
  v128.store(target, f64x2.sub(v128.load(target), s));
}

/** The same for four rows at a time. With `isTriangle` the last four columns are the rows' own, and end at the diagonal. */
function subtractRows4(
  left: usize, leftStep: usize, right: usize, step: usize, depth: i32, count: i32,
  t0: usize, t1: usize, t2: usize, t3: usize, isTriangle: bool,
): void {
  const quads = isTriangle ? count + 4 : count & ~3;
  for (let j = 0; j < quads; j += 4) {
    let a0 = f64x2.splat(0), b0 = f64x2.splat(0);
    let a1 = f64x2.splat(0), b1 = f64x2.splat(0);
    let a2 = f64x2.splat(0), b2 = f64x2.splat(0);
    let a3 = f64x2.splat(0), b3 = f64x2.splat(0);
    let r = at(right, j);
    let l0 = left, l1 = left + leftStep, l2 = l1 + leftStep, l3 = l2 + leftStep;
    for (let k = 0; k < depth; k++) {
      const ra = v128.load(r);
      const rb = v128.load(r, 16);
      const x0 = v128.load64_splat(l0);
      a0 = f64x2.add(a0, f64x2.mul(x0, ra));
      b0 = f64x2.add(b0, f64x2.mul(x0, rb));
      const x1 = v128.load64_splat(l1);
      a1 = f64x2.add(a1, f64x2.mul(x1, ra));
      b1 = f64x2.add(b1, f64x2.mul(x1, rb));
      const x2 = v128.load64_splat(l2);
      a2 = f64x2.add(a2, f64x2.mul(x2, ra));
      b2 = f64x2.add(b2, f64x2.mul(x2, rb));
      const x3 = v128.load64_splat(l3);
      a3 = f64x2.add(a3, f64x2.mul(x3, ra));
      b3 = f64x2.add(b3, f64x2.mul(x3, rb));
      l0 += 8; l1 += 8; l2 += 8; l3 += 8;
      r += step;
    }
    if (j < count || !isTriangle) {
      subtractAt(at(t0, j), a0);
      subtractAt(at(t0, j + 2), b0);
      subtractAt(at(t1, j), a1);
      subtractAt(at(t1, j + 2), b1);
      subtractAt(at(t2, j), a2);
      subtractAt(at(t2, j + 2), b2);
      subtractAt(at(t3, j), a3);
      subtractAt(at(t3, j + 2), b3);
    } else {
      store<f64>(at(t0, j), load<f64>(at(t0, j)) - f64x2.extract_lane(a0, 0));
      subtractAt(at(t1, j), a1);
      subtractAt(at(t2, j), a2);
      store<f64>(at(t2, j + 2), load<f64>(at(t2, j + 2)) - f64x2.extract_lane(b2, 0));
      subtractAt(at(t3, j), a3);
      subtractAt(at(t3, j + 2), b3);
    }
  }
  if (quads >= count) return;
  const rest = count - quads;
  subtractRow(left, at(right, quads), step, depth, rest, at(t0, quads));
  subtractRow(left + leftStep, at(right, quads), step, depth, rest, at(t1, quads));
  subtractRow(left + 2 * leftStep, at(right, quads), step, depth, rest, at(t2, quads));
  subtractRow(left + 3 * leftStep, at(right, quads), step, depth, rest, at(t3, quads));
}

/** Adds a child's update, a packed triangle, to its parent's block and to the parent's own update. */
export function addChild(
  source: usize, positions: usize, rowCount: i32, block: usize, width: i32, update: usize,
): void {
  let own = 0;
  while (own < rowCount && load<i32>(positions + ((<usize>own) << 2)) < width) own++;
  for (let i = 0; i < rowCount; i++) {
    const row = load<i32>(positions + ((<usize>i) << 2));
    const target = at(block, row * width);
    const first = min(own, i + 1);
    let p = positions;
    const middle = positions + ((<usize>first) << 2);
    for (; p < middle; p += 4) {
      const t = at(target, load<i32>(p));
      store<f64>(t, load<f64>(t) + load<f64>(source));
      source += 8;
    }
    const below = row - width;
    const rest = at(update, ((below * (below + 1)) >> 1) - width);
    const end = positions + ((<usize>(i + 1)) << 2);
    for (; p < end; p += 4) {
      const t = at(rest, load<i32>(p));
      store<f64>(t, load<f64>(t) + load<f64>(source));
      source += 8;
    }
  }
}

/**
 * Eliminates all columns of a block, and subtracts L · D · Lᵀ of the rows under its triangle from its update.
 * Returns the failing column or -1.
 */
export function eliminate(
  block: usize, width: i32, rowCount: i32, pivots: usize, floors: usize, panel: usize, update: usize,
): i32 {
  const rowStep = (<usize>width) << 3;
  for (let from = 0; from < width; from += PANEL) {
    const depth = min(PANEL, width - from);
    const end = from + depth;
    const triangle = at(block, from * width + from);
    const failed = factorTriangle(triangle, width, depth, at(pivots, from), at(floors, from));
    if (failed >= 0) return from + failed;
    const rows = rowCount - end;
    const stride = (rows + 3) & ~3;
    const step = (<usize>stride) << 3;
    const first = at(block, end * width + from);
    solveRows(first, rows, width, triangle, depth, at(pivots, from), panel, stride);
    // The block's columns to the right; what lies above its diagonal is written too, and never read.
    const rest = width - end;
    let i = 0;
    if (rest > 0) {
      for (; i + 3 < rows; i += 4) {
        const target = at(block, (end + i) * width + end);
        subtractRows4(
          first + <usize>i * rowStep, rowStep, panel, step, depth, min(rest, i + 4),
          target, target + rowStep, target + 2 * rowStep, target + 3 * rowStep, false,
        );
      }
      for (; i < rows; i++) {
        const target = at(block, (end + i) * width + end);
        subtractRow(first + <usize>i * rowStep, panel, step, depth, min(rest, i + 1), target);
      }
    }
    // The update, a packed triangle.
    const below = rowCount - width;
    const left = at(block, width * width + from);
    const right = at(panel, rest);
    let t0 = update;
    i = 0;
    for (; i + 3 < below; i += 4) {
      const t1 = at(t0, i + 1);
      const t2 = at(t1, i + 2);
      const t3 = at(t2, i + 3);
      subtractRows4(left + <usize>i * rowStep, rowStep, right, step, depth, i, t0, t1, t2, t3, true);
      t0 = at(t3, i + 4);
    }
    for (; i < below; i++) {
      subtractRow(left + <usize>i * rowStep, right, step, depth, i + 1, t0);
      t0 = at(t0, i + 1);
    }
  }
  return -1;
}
