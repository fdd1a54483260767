import { DisjointSet } from '../structures/index.js';

/**
 * Joins points closer than `distance` to one another (transitively, so the order of points has no say).
 * Returns the lowest point of each point's group. Only `isUsed` points take part.
 */
export function weldPoints(points: Float64Array, isUsed: Uint8Array, distance: number): Int32Array {
  const pointCount = isUsed.length;
  const groups = new DisjointSet(pointCount);
  if (distance > 0) {
    // Sorted along x, only neighbours within `distance` in x need a look. A sweep is exact where a
    // grid of cells would have to look across 27 of them.
    const order = new Int32Array(pointCount);
    let used = 0;
    for (let p = 0; p < pointCount; p++) if (isUsed[p]) order[used++] = p;
    const sorted = order
      .subarray(0, used)
      .sort(
        (a, b) =>
          points[3 * a]! - points[3 * b]! ||
          points[3 * a + 1]! - points[3 * b + 1]! ||
          points[3 * a + 2]! - points[3 * b + 2]! ||
          a - b,
      );
    const limit = distance * distance;
    for (let i = 0; i < used; i++) {
      const a = sorted[i]!;
      const x = points[3 * a]!;
      const y = points[3 * a + 1]!;
      const z = points[3 * a + 2]!;
      // Planar models put thousands of points at one x: among equal x the y order ends the look early.
      for (let j = i + 1; j < used; j++) {
        const b = sorted[j]!;
        const dx = points[3 * b]! - x;
        if (dx > distance) break;
        const dy = points[3 * b + 1]! - y;
        if (dx === 0 && dy > distance) {
          j = skipEqualX(points, sorted, j, used) - 1;
          continue;
        }
        const dz = points[3 * b + 2]! - z;
        if (dx * dx + dy * dy + dz * dz <= limit) groups.union(a, b);
      }
    }
  }
  const weldedPoints = new Int32Array(pointCount);
  for (let p = 0; p < pointCount; p++) weldedPoints[p] = groups.find(p);
  return weldedPoints;
}

/** First position after `from` whose x differs, by doubling steps. */
function skipEqualX(points: Float64Array, sorted: Int32Array, from: number, end: number): number {
  const x = points[3 * sorted[from]!]!;
  let low = from;
  let step = 1;
  while (low + step < end && points[3 * sorted[low + step]!]! === x) {
    low += step;
    step *= 2;
  }
  let high = Math.min(end, low + step);
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (points[3 * sorted[middle]!]! === x) low = middle;
    else high = middle;
  }
  return high;
}
