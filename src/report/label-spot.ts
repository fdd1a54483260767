import type { Mesh } from '../mesh/index.js';
import type { LaidChart } from './layout-outlines.js';

/** A place inside a chart for a label. */
export interface LabelSpot {
  readonly u: number;
  readonly v: number;
  /** Times that the label's half width and height may be taken before it touches the chart's outline. */
  readonly room: number;
}

/** At most this many faces are looked at, evenly spread; of charts with very long outlines as many as the work allows. */
const SAMPLES = 160;
const LEAST_SAMPLES = 16;
/** Points of outlines met on the way, for each of a face's corners. */
const WORK = 2e6;

/** The face centre or corner where a label of the given half width and half height can be largest within its chart. */
export function findLabelSpot(
  mesh: Mesh,
  uvs: Float64Array,
  { faces, loops }: LaidChart,
  [halfWidth, halfHeight]: readonly [number, number],
): LabelSpot | undefined {
  let best: LabelSpot | undefined;
  const tryAt = (u: number, v: number) => {
    const enough = best?.room ?? 0;
    let room = Number.isFinite(u + v) ? Infinity : 0;
    for (const loop of loops) {
      let x = (loop.at(-2)! - u) / halfWidth;
      let y = (loop.at(-1)! - v) / halfHeight;
      for (let k = 0; k < loop.length && room > enough; k += 2) {
        const nextX = (loop[k]! - u) / halfWidth;
        const nextY = (loop[k + 1]! - v) / halfHeight;
        room = Math.min(room, squareReach(x, y, nextX, nextY));
        x = nextX;
        y = nextY;
      }
    }
    if (room > enough && room < Infinity) best = { u, v, room };
  };
  const outlineCount = loops.reduce((sum, loop) => sum + loop.length / 2, 0);
  const samples = Math.min(SAMPLES, Math.max(LEAST_SAMPLES, WORK / outlineCount));
  for (let i = 0; i < faces.length; i += Math.ceil(faces.length / samples)) {
    const f = faces[i]!;
    const first = mesh.faceOffsets[f]!;
    const end = mesh.faceOffsets[f + 1]!;
    let u = 0;
    let v = 0;
    for (let c = first; c < end; c++) {
      u += uvs[2 * c]! / (end - first);
      v += uvs[2 * c + 1]! / (end - first);
    }
    tryAt(u, v);
    for (let c = first; c < end; c++) tryAt(uvs[2 * c]!, uvs[2 * c + 1]!);
  }
  return best;
}

/**
 * Half side of the largest square round the origin that a line does not enter. Along the line, the larger of |x| and
 * |y| is convex and bends only where one of them is 0 or both are alike.
 */
function squareReach(x0: number, y0: number, x1: number, y1: number): number {
  const dx = x1 - x0;
  const dy = y1 - y0;
  let least = Math.min(Math.max(Math.abs(x0), Math.abs(y0)), Math.max(Math.abs(x1), Math.abs(y1)));
  for (const share of [-x0 / dx, -y0 / dy, (y0 - x0) / (dx - dy), -(x0 + y0) / (dx + dy)])
    if (share > 0 && share < 1)
      least = Math.min(least, Math.max(Math.abs(x0 + share * dx), Math.abs(y0 + share * dy)));
  return least;
}
