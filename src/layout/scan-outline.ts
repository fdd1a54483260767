/**
 * A filled outline on a grid: for each row, spans of cells whose centres lie inside.
 * Cell (a, b) has its centre at (a + 0.5, b + 0.5).
 */
export interface CellSpans {
  /** Lowest row. */
  readonly firstRow: number;
  readonly rowCount: number;
  /** Index of the first span of each row, and the span count at the end. */
  readonly rowOffsets: Int32Array;
  /** First and last cell of each span, both inside: 2 × span count. */
  readonly spans: Int32Array;
}

/**
 * Fills an outline by the nonzero rule, sampling cell centres.
 *
 * @param points - xy in cells, loop after loop
 * @param isThick - also takes every cell that the border passes through, so that nothing thin is missed
 */
export function scanOutline(points: Float64Array, loopOffsets: Int32Array, isThick = false): CellSpans {
  let y0 = Infinity;
  let y1 = -Infinity;
  for (let i = 1; i < points.length; i += 2) {
    if (points[i]! < y0) y0 = points[i]!;
    if (points[i]! > y1) y1 = points[i]!;
  }
  const firstRow = Math.floor(y0);
  const rowCount = Math.max(1, Math.floor(y1) - firstRow + 1);
  const crossings: number[][] = Array.from({ length: rowCount }, () => []);
  const rows: number[][] = Array.from({ length: rowCount }, () => []);
  for (let l = 0; l + 1 < loopOffsets.length; l++) {
    const first = loopOffsets[l]!;
    const end = loopOffsets[l + 1]!;
    for (let k = first; k < end; k++) {
      const n = k + 1 === end ? first : k + 1;
      const ax = points[2 * k]!;
      const ay = points[2 * k + 1]!;
      const bx = points[2 * n]!;
      const by = points[2 * n + 1]!;
      if (ay !== by) {
        // Rows whose centre line lies in [min, max); the sign of the crossing is its direction.
        const low = Math.max(0, Math.ceil(Math.min(ay, by) - 0.5) - firstRow);
        const high = Math.min(rowCount - 1, Math.ceil(Math.max(ay, by) - 0.5) - 1 - firstRow);
        const slope = (bx - ax) / (by - ay);
        for (let r = low; r <= high; r++) {
          crossings[r]!.push(ax + slope * (firstRow + r + 0.5 - ay), by > ay ? 1 : -1);
        }
      }
      if (isThick) markEdge(rows, firstRow, ax, ay, bx, by);
    }
  }
  for (let r = 0; r < rowCount; r++) windingSpans(crossings[r]!, rows[r]!);
  return joinSpans(firstRow, rows);
}

/** Adds the spans of one row's signed crossings (x, ±1 pairs) by the nonzero rule. */
function windingSpans(crossings: readonly number[], spans: number[]): void {
  const order: number[] = [];
  for (let k = 0; k < crossings.length; k += 2) order.push(k);
  order.sort((a, b) => crossings[a]! - crossings[b]! || crossings[a + 1]! - crossings[b + 1]!);
  let winding = 0;
  let start = 0;
  for (const k of order) {
    const before = winding;
    winding += crossings[k + 1]!;
    if (before === 0 && winding !== 0) start = crossings[k]!;
    else if (before !== 0 && winding === 0) {
      const a = Math.ceil(start - 0.5);
      const b = Math.ceil(crossings[k]! - 0.5) - 1;
      if (b >= a) spans.push(a, b);
    }
  }
}

/** Adds, row by row, the cells that a border edge passes through. */
function markEdge(rows: number[][], firstRow: number, ax: number, ay: number, bx: number, by: number): void {
  const low = Math.floor(Math.min(ay, by));
  const high = Math.floor(Math.max(ay, by));
  const slope = ay === by ? 0 : (bx - ax) / (by - ay);
  for (let y = low; y <= high; y++) {
    let x0 = Math.min(ax, bx);
    let x1 = Math.max(ax, bx);
    if (low !== high) {
      const p = ax + slope * (Math.max(y, Math.min(ay, by)) - ay);
      const q = ax + slope * (Math.min(y + 1, Math.max(ay, by)) - ay);
      x0 = Math.max(x0, Math.min(p, q));
      x1 = Math.min(x1, Math.max(p, q));
    }
    rows[y - firstRow]?.push(Math.floor(x0), Math.floor(x1));
  }
}

/** Sorts and joins each row's spans. */
function joinSpans(firstRow: number, rows: readonly number[][]): CellSpans {
  const rowOffsets = new Int32Array(rows.length + 1);
  const all: number[] = [];
  for (let r = 0; r < rows.length; r++) {
    const row = rows[r]!;
    const order: number[] = [];
    for (let k = 0; k < row.length; k += 2) order.push(k);
    order.sort((a, b) => row[a]! - row[b]!);
    const begin = all.length;
    for (const k of order) {
      if (all.length > begin && row[k]! <= all[all.length - 1]! + 1)
        all[all.length - 1] = Math.max(all[all.length - 1]!, row[k + 1]!);
      else all.push(row[k]!, row[k + 1]!);
    }
    rowOffsets[r + 1] = all.length / 2;
  }
  return { firstRow, rowCount: rows.length, rowOffsets, spans: Int32Array.from(all) };
}
