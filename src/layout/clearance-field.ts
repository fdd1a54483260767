import type { CellSpans } from './scan-outline.js';

/** Units of a clearance field's values in one cell. */
export const CLEARANCE_UNIT = 10;

/**
 * Signed distance between two pieces for every offset of one against the other, on a grid of whole cells.
 * Positive: that far apart; negative: that far to move until they are apart. Offsets outside the field are
 * further apart than its band.
 */
export interface ClearanceField {
  readonly x0: number;
  readonly y0: number;
  readonly width: number;
  readonly height: number;
  /** Row after row, in CLEARANCE_UNIT to the cell. */
  readonly values: Int16Array;
}

/**
 * Computes clearance fields; one builder reuses its buffers.
 *
 * The offsets where two pieces overlap are the Minkowski sum of `fixed` and the reflected `moving`; it is
 * summed row by row from spans. Distances come from a two-pass chamfer transform with weights 10 and 14
 * (Borgefors 1986; within 8 % of Euclidean). The sampled sum lags the true one by a whole cell on average,
 * which is why an offset just outside counts as touching.
 */
export class ClearanceFieldBuilder {
  #counts = new Int32Array(0);
  #outside = new Int16Array(0);
  #inside = new Int16Array(0);

  /**
   * The field of `moving` against `fixed`: value at d is the distance between `fixed` and `moving + d`.
   *
   * @param band - cells by which the field reaches beyond touching
   */
  build(fixed: CellSpans, moving: CellSpans, band: number): ClearanceField {
    const [fx0, fx1] = spanRange(fixed);
    const [mx0, mx1] = spanRange(moving);
    const x0 = fx0 - mx1 - band;
    const width = fx1 - mx0 + band - x0 + 1;
    const y0 = fixed.firstRow - (moving.firstRow + moving.rowCount - 1) - band;
    const height = fixed.rowCount + moving.rowCount - 1 + 2 * band;
    // One cell of frame on every side spares the transform its bounds checks.
    const stride = width + 2;
    const size = stride * (height + 2);
    if (this.#counts.length < size) {
      this.#counts = new Int32Array(2 * size);
      this.#outside = new Int16Array(2 * size);
      this.#inside = new Int16Array(2 * size);
    }
    const counts = this.#counts;
    const outside = this.#outside;
    const inside = this.#inside;
    counts.fill(0, 0, size);
    sumSpans(fixed, moving, counts, stride, x0 - 1, y0 - 1);
    outside.fill(FAR, 0, size);
    inside.fill(0, 0, size);
    for (let y = 1; y <= height; y++) {
      let sum = 0;
      for (let k = y * stride; k < (y + 1) * stride; k++) {
        sum += counts[k]!;
        if (sum > 0) {
          inside[k] = FAR;
          outside[k] = 0;
        }
      }
    }
    spreadDistances(outside, stride, width, height);
    spreadDistances(inside, stride, width, height);
    const values = new Int16Array(width * height);
    for (let y = 0, o = 0; y < height; y++) {
      for (let k = (y + 1) * stride + 1; o < (y + 1) * width; k++, o++)
        values[o] = outside[k]! > 0 ? outside[k]! - CLEARANCE_UNIT : -inside[k]!;
    }
    return { x0, y0, width, height, values };
  }
}

const FAR = 20000;

/** Adds +1 and −1 where a row of the Minkowski sum enters and leaves a pair of spans. */
function sumSpans(
  fixed: CellSpans,
  moving: CellSpans,
  counts: Int32Array,
  stride: number,
  x0: number,
  y0: number,
): void {
  for (let r = 0; r < fixed.rowCount; r++) {
    for (let q = 0; q < moving.rowCount; q++) {
      const row = (fixed.firstRow + r - moving.firstRow - q - y0) * stride - x0;
      for (let s = fixed.rowOffsets[r]!; s < fixed.rowOffsets[r + 1]!; s++) {
        const a = row + fixed.spans[2 * s]!;
        const b = row + fixed.spans[2 * s + 1]! + 1;
        for (let t = moving.rowOffsets[q]!; t < moving.rowOffsets[q + 1]!; t++) {
          counts[a - moving.spans[2 * t + 1]!]!++;
          counts[b - moving.spans[2 * t]!]!--;
        }
      }
    }
  }
}

function spanRange({ spans }: CellSpans): [number, number] {
  let low = 0;
  let high = 0;
  for (let k = 0; k < spans.length; k += 2) {
    if (k === 0 || spans[k]! < low) low = spans[k]!;
    if (k === 0 || spans[k + 1]! > high) high = spans[k + 1]!;
  }
  return [low, high];
}

/** Replaces every value inside the frame by its chamfer distance to the nearest zero. */
function spreadDistances(d: Int16Array, stride: number, width: number, height: number): void {
  for (let y = 1; y <= height; y++) {
    for (let k = y * stride + 1; k <= y * stride + width; k++) {
      let v = d[k]!;
      if (v === 0) continue;
      const up = k - stride;
      if (d[k - 1]! + 10 < v) v = d[k - 1]! + 10;
      if (d[up]! + 10 < v) v = d[up]! + 10;
      if (d[up - 1]! + 14 < v) v = d[up - 1]! + 14;
      if (d[up + 1]! + 14 < v) v = d[up + 1]! + 14;
      d[k] = v;
    }
  }
  for (let y = height; y >= 1; y--) {
    for (let k = y * stride + width; k > y * stride; k--) {
      let v = d[k]!;
      if (v === 0) continue;
      const down = k + stride;
      if (d[k + 1]! + 10 < v) v = d[k + 1]! + 10;
      if (d[down]! + 10 < v) v = d[down]! + 10;
      if (d[down + 1]! + 14 < v) v = d[down + 1]! + 14;
      if (d[down - 1]! + 14 < v) v = d[down - 1]! + 14;
      d[k] = v;
    }
  }
}
