import type { Mesh } from '../mesh/index.js';
import { cutMesh, groupFacesByChart, isCutHalfEdge, nextBorderHalfEdge } from '../mesh/index.js';

/** A stretch of a chart's outline along one seam. */
export interface OutlineRun {
  /** Index of the seam, or -1 along an open edge of the model or a cut that no seam names. */
  readonly seam: number;
  /** u, v pairs. */
  readonly points: readonly number[];
  readonly isClosed: boolean;
}

/** One chart as it lies on the sheet. */
export interface LaidChart {
  /** Ascending face indices. */
  readonly faces: Int32Array;
  /** Closed loops of u, v pairs. */
  readonly loops: readonly (readonly number[])[];
  readonly runs: readonly OutlineRun[];
}

/** Outlines of all charts: the mesh is opened along the seams and wherever the UVs of neighbours part. */
export function traceOutlines(mesh: Mesh, uvs: Float64Array, edgeSeams: Int32Array): LaidChart[] {
  const isSeam = new Uint8Array(mesh.edgeCount);
  for (let e = 0; e < mesh.edgeCount; e++) if (edgeSeams[e]! >= 0 || isTorn(mesh, uvs, e)) isSeam[e] = 1;
  const cut = cutMesh(mesh, isSeam);
  const { offsets, faces } = groupFacesByChart(cut);
  const isWalked = new Uint8Array(mesh.cornerCount);
  const charts: LaidChart[] = [];
  for (let chart = 0; chart < cut.chartCount; chart++) {
    const chartFaces = faces.slice(offsets[chart]!, offsets[chart + 1]!);
    const loops: number[][] = [];
    const runs: OutlineRun[] = [];
    for (const f of chartFaces) {
      for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++) {
        if (isWalked[h] || !isCutHalfEdge(mesh, isSeam, h)) continue;
        const corners: number[] = [];
        for (let g = h; !isWalked[g]; g = nextBorderHalfEdge(mesh, isSeam, g)) {
          isWalked[g] = 1;
          corners.push(g);
        }
        if (!corners.every((c) => Number.isFinite(uvs[2 * c]! + uvs[2 * c + 1]!))) continue;
        loops.push(corners.flatMap((c) => [uvs[2 * c]!, uvs[2 * c + 1]!]));
        runs.push(...splitRuns(mesh, uvs, edgeSeams, corners));
      }
    }
    if (loops.length > 0) charts.push({ faces: chartFaces, loops, runs });
  }
  return charts;
}

/** Whether the two sides of an edge lie apart on the sheet. */
function isTorn(mesh: Mesh, uvs: Float64Array, e: number): boolean {
  const h = mesh.edgeHalfEdges[e]!;
  const t = mesh.twin[h]!;
  if (t < 0) return false;
  return differs(uvs, h, mesh.next[t]!) || differs(uvs, mesh.next[h]!, t);
}

const differs = (uvs: Float64Array, a: number, b: number): boolean =>
  !(Math.abs(uvs[2 * a]! - uvs[2 * b]!) + Math.abs(uvs[2 * a + 1]! - uvs[2 * b + 1]!) < 1e-9);

/** Splits a loop of half-edges where the seam changes. */
function splitRuns(
  mesh: Mesh,
  uvs: Float64Array,
  edgeSeams: Int32Array,
  loop: readonly number[],
): OutlineRun[] {
  const seamAt = (i: number) => edgeSeams[mesh.halfEdgeEdges[loop[i % loop.length]!]!]!;
  const pointAt = (i: number) => {
    const c = loop[i % loop.length]!;
    return [uvs[2 * c]!, uvs[2 * c + 1]!];
  };
  let start = 0;
  while (start < loop.length && seamAt(start) === seamAt(start + loop.length - 1)) start++;
  if (start === loop.length)
    return [{ seam: seamAt(0), points: loop.flatMap((_, i) => pointAt(i)), isClosed: true }];
  const runs: OutlineRun[] = [];
  for (let i = start; i < start + loop.length; ) {
    const seam = seamAt(i);
    const points = pointAt(i);
    for (; i < start + loop.length && seamAt(i) === seam; i++) points.push(...pointAt(i + 1));
    runs.push({ seam, points, isClosed: false });
  }
  return runs;
}
