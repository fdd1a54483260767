import { scanOutline } from './scan-outline.js';

/** Signed distances to an outline on a grid about it: positive outside, negative inside, in cells. */
export interface DistanceField {
  /** Place of the first node; nodes are one cell apart. */
  readonly x0: number;
  readonly y0: number;
  readonly width: number;
  readonly height: number;
  /** Row after row. */
  readonly values: Float32Array;
}

/**
 * Measures the distances from every node of a grid that reaches beyond the outline by the band. Costs nodes ×
 * outline points.
 *
 * @param points - xy in cells, loop after loop
 */
export function buildDistanceField(
  points: Float64Array,
  loopOffsets: Int32Array,
  band: number,
): DistanceField {
  let left = Infinity;
  let bottom = Infinity;
  let right = -Infinity;
  let top = -Infinity;
  for (let k = 0; k < points.length; k += 2) {
    left = Math.min(left, points[k]!);
    right = Math.max(right, points[k]!);
    bottom = Math.min(bottom, points[k + 1]!);
    top = Math.max(top, points[k + 1]!);
  }
  const x0 = Math.floor(left - band);
  const y0 = Math.floor(bottom - band);
  const width = Math.ceil(right + band) - x0 + 1;
  const height = Math.ceil(top + band) - y0 + 1;
  const squares = new Float64Array(width * height).fill(Infinity);
  for (let l = 0; l + 1 < loopOffsets.length; l++) {
    const first = loopOffsets[l]!;
    const end = loopOffsets[l + 1]!;
    for (let k = first; k < end; k++) {
      const n = k + 1 === end ? first : k + 1;
      const ax = points[2 * k]! - x0;
      const ay = points[2 * k + 1]! - y0;
      const ex = points[2 * n]! - x0 - ax;
      const ey = points[2 * n + 1]! - y0 - ay;
      const length = ex * ex + ey * ey;
      const per = length > 0 ? 1 / length : 0;
      for (let y = 0, o = 0; y < height; y++) {
        const dy = y - ay;
        for (let x = 0; x < width; x++, o++) {
          const dx = x - ax;
          const t = Math.min(1, Math.max(0, (dx * ex + dy * ey) * per));
          const px = dx - t * ex;
          const py = dy - t * ey;
          const d = px * px + py * py;
          if (d < squares[o]!) squares[o] = d;
        }
      }
    }
  }
  const values = Float32Array.from(squares, Math.sqrt);
  // Cells sampled at their centres: half a cell to the lower left, they are the nodes.
  const shifted = points.map((x, k) => x - (k & 1 ? y0 : x0) + 0.5);
  const inside = scanOutline(shifted, loopOffsets);
  for (let r = 0; r < inside.rowCount; r++) {
    const row = (inside.firstRow + r) * width;
    for (let s = inside.rowOffsets[r]!; s < inside.rowOffsets[r + 1]!; s++)
      for (let x = inside.spans[2 * s]!; x <= inside.spans[2 * s + 1]!; x++) values[row + x]! *= -1;
  }
  return { x0, y0, width, height, values };
}
