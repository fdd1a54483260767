import type { Mesh } from '../mesh/index.js';
import type { FlatChartLike } from './flat-chart.js';

/** The border of a flat chart as closed loops, surface on the left. */
export interface ChartOutline {
  /** xy of the border's vertices, loop after loop. */
  readonly points: Float64Array;
  /** First vertex of each loop, and the vertex count at the end. */
  readonly loopOffsets: Int32Array;
  /** Signed area enclosed: the sum over the faces. */
  readonly area: number;
}

/** Marks the corners that border their chart in UV space: no neighbour in the chart shares both UVs. */
export interface CornerUvs {
  /** uv of every corner of the mesh, 2 × cornerCount. */
  readonly uvs: Float64Array;
  /** Chart of every corner, -1 for none. */
  readonly charts: Int32Array;
}

/** Spreads the charts' UVs to the mesh's corners. */
export function spreadCornerUvs(mesh: Mesh, charts: readonly FlatChartLike[]): CornerUvs {
  const uvs = new Float64Array(2 * mesh.cornerCount).fill(Number.NaN);
  const cornerCharts = new Int32Array(mesh.cornerCount).fill(-1);
  for (let i = 0; i < charts.length; i++) {
    const { corners, uvs: chartUvs } = charts[i]!;
    for (let k = 0; k < corners.length; k++) {
      const c = corners[k]!;
      uvs[2 * c] = chartUvs[2 * k]!;
      uvs[2 * c + 1] = chartUvs[2 * k + 1]!;
      cornerCharts[c] = i;
    }
  }
  return { uvs, charts: cornerCharts };
}

/** Whether the half-edge has a neighbour in its chart with the same UVs on both ends. */
function isInterior(mesh: Mesh, { uvs, charts }: CornerUvs, h: number): boolean {
  const t = mesh.twin[h]!;
  if (t < 0 || charts[t] !== charts[h]) return false;
  const hn = mesh.next[h]!;
  const tn = mesh.next[t]!;
  return (
    uvs[2 * h] === uvs[2 * tn] &&
    uvs[2 * h + 1] === uvs[2 * tn + 1] &&
    uvs[2 * hn] === uvs[2 * t] &&
    uvs[2 * hn + 1] === uvs[2 * t + 1]
  );
}

/**
 * Traces the border loops of one chart. Each loop starts at its lowest point (then leftmost), and loops are
 * sorted by their starts, so that the result does not depend on how corners are numbered.
 */
export function traceOutline(mesh: Mesh, spread: CornerUvs, chart: FlatChartLike): ChartOutline {
  const { uvs } = spread;
  const loops: number[][] = [];
  const isWalked = new Set<number>();
  let area = 0;
  for (let k = 0; k < chart.corners.length; k++) {
    const start = chart.corners[k]!;
    if (isWalked.has(start) || isInterior(mesh, spread, start)) continue;
    const loop: number[] = [];
    for (let h = start; !isWalked.has(h); ) {
      isWalked.add(h);
      loop.push(h);
      h = mesh.next[h]!;
      while (isInterior(mesh, spread, h)) h = mesh.next[mesh.twin[h]!]!;
    }
    loops.push(canonicalLoop(loop, uvs));
  }
  loops.sort((a, b) => compareCorners(uvs, a[0]!, b[0]!) || b.length - a.length);
  const loopOffsets = new Int32Array(loops.length + 1);
  for (let l = 0; l < loops.length; l++) loopOffsets[l + 1] = loopOffsets[l]! + loops[l]!.length;
  const points = new Float64Array(2 * loopOffsets[loops.length]!);
  let o = 0;
  for (const loop of loops) {
    for (let k = 0; k < loop.length; k++) {
      const c = loop[k]!;
      const n = loop[k + 1 === loop.length ? 0 : k + 1]!;
      points[o++] = uvs[2 * c]!;
      points[o++] = uvs[2 * c + 1]!;
      area += (uvs[2 * c]! * uvs[2 * n + 1]! - uvs[2 * n]! * uvs[2 * c + 1]!) / 2;
    }
  }
  return { points, loopOffsets, area };
}

function compareCorners(uvs: Float64Array, a: number, b: number): number {
  return uvs[2 * a + 1]! - uvs[2 * b + 1]! || uvs[2 * a]! - uvs[2 * b]!;
}

function canonicalLoop(loop: readonly number[], uvs: Float64Array): number[] {
  let first = 0;
  for (let k = 1; k < loop.length; k++) if (compareCorners(uvs, loop[k]!, loop[first]!) < 0) first = k;
  return [...loop.slice(first), ...loop.slice(0, first)];
}
