import type { Mesh } from '../mesh/index.js';

/** A place inside a chart with room round it. */
export interface LabelSpot {
  readonly u: number;
  readonly v: number;
  /** Distance to the nearest outline point, UV units. */
  readonly room: number;
}

/** At most this many faces and outline points are looked at, evenly spread. */
const SAMPLES = 160;

/** The face centre that lies farthest from the chart's outline. */
export function findLabelSpot(
  mesh: Mesh,
  uvs: Float64Array,
  faces: Int32Array,
  loops: readonly (readonly number[])[],
): LabelSpot | undefined {
  const outline = loops.flat();
  const step = Math.max(1, Math.ceil(outline.length / 2 / (2 * SAMPLES)));
  let best: LabelSpot | undefined;
  for (let i = 0; i < faces.length; i += Math.max(1, Math.ceil(faces.length / SAMPLES))) {
    const f = faces[i]!;
    const first = mesh.faceOffsets[f]!;
    const end = mesh.faceOffsets[f + 1]!;
    let u = 0;
    let v = 0;
    for (let c = first; c < end; c++) {
      u += uvs[2 * c]! / (end - first);
      v += uvs[2 * c + 1]! / (end - first);
    }
    let room = Infinity;
    for (let k = 0; k < outline.length; k += 2 * step)
      room = Math.min(room, Math.hypot(outline[k]! - u, outline[k + 1]! - v));
    if (Number.isFinite(room) && (!best || room > best.room)) best = { u, v, room };
  }
  return best;
}
