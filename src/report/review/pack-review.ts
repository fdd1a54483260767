import { zlibSync } from 'fflate';
import { encodeBase64 } from './base64.js';
import { ByteWriter } from './byte-stream.js';
import type { ReviewModel, ReviewSet } from './review-model.js';
import { AREA_LOG_LIMIT, RATIO_LOG_LIMIT } from './review-model.js';

/** Positions and UVs are kept to this many steps of their range: a sixteenth of a pixel on a sheet of 4096. */
export const STEPS = 65535;

/** A review model as a page carries it. */
export interface PackedReview {
  /** JSON of everything in words and of the sizes of what `body` holds. */
  readonly head: string;
  /** Base64 of the compressed arrays. */
  readonly body: string;
}

/**
 * Packs a review model: positions and UVs in 16 bits, fields in 8, connectivity as differences, all deflated.
 *
 * Linear in the size of the mesh.
 */
export function packReview(model: ReviewModel): PackedReview {
  const writer = new ByteWriter();
  const [low, span] = boundsOf(model.points, 3);
  writeQuantised(writer, model.points, 3, low, span);
  writeFaces(writer, model);
  writer.writeBytes(Uint8Array.from(model.faceParts, (part) => Math.min(part, 255)));
  writer.writeBytes(toBytes(model.faceExposure, 0, 1));
  const sets = model.sets.map((set) => packSet(writer, model, set));
  const { points, faceVertexCounts, faceVertexIndices, name, up, front, parts, dropped } = model;
  const head = {
    version: 1,
    name,
    up,
    front,
    parts,
    pointCount: points.length / 3,
    faceCount: faceVertexCounts.length,
    cornerCount: faceVertexIndices.length,
    low,
    span,
    sets,
    dropped,
  };
  return { head: JSON.stringify(head), body: encodeBase64(zlibSync(writer.finish(), { level: 6 })) };
}

function packSet(writer: ByteWriter, model: ReviewModel, set: ReviewSet): object {
  const { faceCharts, uvs, faceRatio, faceArea, seams, ...words } = set;
  let last = 0;
  for (let f = 0; f < faceCharts.length; f++) {
    writer.writeSigned(faceCharts[f]! - last);
    last = faceCharts[f]!;
  }
  const [low, span] = boundsOf(uvs, 2);
  writeUvs(writer, model.faceVertexIndices, uvs, low, span);
  writer.writeBytes(toBytes(Float32Array.from(faceRatio, Math.log2), 0, RATIO_LOG_LIMIT));
  writer.writeBytes(toBytes(faceArea, -AREA_LOG_LIMIT, AREA_LOG_LIMIT));
  for (const seam of seams) {
    let previous = 0;
    for (const corner of seam.corners) {
      writer.writeSigned(corner - previous);
      previous = corner;
    }
  }
  return {
    ...words,
    low,
    span,
    seams: seams.map(({ corners, ...seam }) => ({ ...seam, cornerCount: corners.length })),
  };
}

/** Faces by their number of corners, then each corner by its difference to the one before. */
function writeFaces(writer: ByteWriter, { faceVertexCounts, faceVertexIndices }: ReviewModel): void {
  for (let f = 0; f < faceVertexCounts.length; f++) writer.writeUnsigned(faceVertexCounts[f]!);
  let c = 0;
  let first = 0;
  for (let f = 0; f < faceVertexCounts.length; f++) {
    let last = first;
    first = faceVertexIndices[c]!;
    for (let i = 0; i < faceVertexCounts[f]!; i++, c++) {
      writer.writeSigned(faceVertexIndices[c]! - last);
      last = faceVertexIndices[c]!;
    }
  }
}

/** One plane for each of the two bytes and each axis, as differences from point to point: these deflate best. */
function writeQuantised(
  writer: ByteWriter,
  values: Float32Array,
  size: number,
  low: readonly number[],
  span: readonly number[],
): void {
  const highs = new Uint8Array(values.length / size);
  for (let k = 0; k < size; k++) {
    let last = 0;
    for (let i = k, n = 0; i < values.length; i += size, n++) {
      const step = Math.round(((values[i]! - low[k]!) / span[k]!) * STEPS);
      const difference = (step - last) & 0xffff;
      // Small differences of either sign have a high byte of 0.
      const folded = difference < 0x8000 ? 2 * difference : 2 * (0xffff - difference) + 1;
      highs[n] = folded >> 8;
      writer.writeByte(folded & 255);
      last = step;
    }
    writer.writeBytes(highs);
  }
}

/**
 * UVs by point: a point inside a chart has one, written where the first of its corners comes; on a seam it
 * has more. A byte for each corner tells which one it takes; new ones follow as differences.
 */
function writeUvs(
  writer: ByteWriter,
  cornerPoints: Int32Array,
  uvs: Float32Array,
  low: readonly number[],
  span: readonly number[],
): void {
  const known = new Map<number, number[]>();
  const fresh: number[] = [];
  const steps = [0, 0];
  for (let c = 0; c < cornerPoints.length; c++) {
    for (let k = 0; k < 2; k++) {
      const value = uvs[2 * c + k]!;
      steps[k] = Number.isFinite(value) ? 1 + Math.round(((value - low[k]!) / span[k]!) * (STEPS - 1)) : 0;
    }
    const code = steps[0]! * 65536 + steps[1]!;
    let list = known.get(cornerPoints[c]!);
    if (!list) known.set(cornerPoints[c]!, (list = []));
    const at = list.indexOf(code);
    writer.writeUnsigned(at < 0 ? list.length : at);
    if (at >= 0) continue;
    list.push(code);
    fresh.push(steps[0]!, steps[1]!);
  }
  writer.writeUnsigned(fresh.length / 2);
  for (let k = 0; k < 2; k++) {
    let last = 0;
    for (let i = k; i < fresh.length; i += 2) {
      writer.writeSigned(fresh[i]! - last);
      last = fresh[i]!;
    }
  }
}

function boundsOf(values: Float32Array, size: number): [number[], number[]] {
  const low = new Array<number>(size).fill(Infinity);
  const high = new Array<number>(size).fill(-Infinity);
  for (let i = 0; i < values.length; i++) {
    const k = i % size;
    if (values[i]! < low[k]!) low[k] = values[i]!;
    if (values[i]! > high[k]!) high[k] = values[i]!;
  }
  return [low.map((x) => (Number.isFinite(x) ? x : 0)), low.map((x, k) => (high[k]! > x ? high[k]! - x : 1))];
}

/** Values as bytes over a range; what lies outside is cut, what is no number is the lowest. */
function toBytes(values: Float32Array, from: number, to: number): Uint8Array {
  return Uint8Array.from(values, (value) =>
    Math.round(255 * Math.min(1, Math.max(0, (value - from) / (to - from) || 0))),
  );
}
