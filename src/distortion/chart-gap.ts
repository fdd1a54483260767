/** Sides of chart borders in UV with the chart of each. */
export interface UvSides {
  /** Four numbers per side: u v of both ends. */
  readonly ends: Float64Array;
  readonly charts: Int32Array;
}

/**
 * Least distance between the borders of different charts, or Infinity when none are closer than `reach`.
 * Sweeps the sides in order of u with the best distance so far as reach.
 */
export function findChartGap(sides: UvSides, reach: number): number {
  const { ends, charts } = sides;
  const n = charts.length;
  const lowU = new Float64Array(n);
  const highU = new Float64Array(n);
  const lowV = new Float64Array(n);
  const highV = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    lowU[i] = Math.min(ends[4 * i]!, ends[4 * i + 2]!);
    highU[i] = Math.max(ends[4 * i]!, ends[4 * i + 2]!);
    lowV[i] = Math.min(ends[4 * i + 1]!, ends[4 * i + 3]!);
    highV[i] = Math.max(ends[4 * i + 1]!, ends[4 * i + 3]!);
  }
  const order = Array.from({ length: n }, (_, i) => i).sort((a, b) => lowU[a]! - lowU[b]! || a - b);
  let best = reach;
  let isFound = false;
  let active: number[] = [];
  for (const i of order) {
    active = active.filter((j) => highU[j]! + best >= lowU[i]!);
    for (const j of active) {
      if (charts[i] === charts[j] || lowV[i]! > highV[j]! + best || lowV[j]! > highV[i]! + best) continue;
      const distance = sideDistance(ends, i, j);
      if (distance <= best) {
        best = distance;
        isFound = true;
      }
    }
    active.push(i);
  }
  return isFound ? best : Infinity;
}

function sideDistance(p: Float64Array, i: number, j: number): number {
  const [a, b, c, d] = [4 * i, 4 * i + 2, 4 * j, 4 * j + 2];
  const turn = (x: number, y: number, z: number) =>
    (p[y]! - p[x]!) * (p[z + 1]! - p[x + 1]!) - (p[y + 1]! - p[x + 1]!) * (p[z]! - p[x]!);
  if (turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0) return 0;
  return Math.min(
    pointDistance(p, a, c, d),
    pointDistance(p, b, c, d),
    pointDistance(p, c, a, b),
    pointDistance(p, d, a, b),
  );
}

function pointDistance(p: Float64Array, v: number, a: number, b: number): number {
  const x = p[b]! - p[a]!;
  const y = p[b + 1]! - p[a + 1]!;
  const u = p[v]! - p[a]!;
  const w = p[v + 1]! - p[a + 1]!;
  const squared = x * x + y * y;
  const s = squared > 0 ? Math.min(1, Math.max(0, (u * x + w * y) / squared)) : 0;
  return Math.hypot(u - s * x, w - s * y);
}
