import { unzlibSync } from 'fflate';
import { decodeBase64 } from './base64.js';
import { ByteReader } from './byte-stream.js';
import type { PackedReview } from './pack-review.js';
import { STEPS } from './pack-review.js';
import type { ReviewModel, ReviewSeam, ReviewSet } from './review-model.js';
import { AREA_LOG_LIMIT, RATIO_LOG_LIMIT } from './review-model.js';

interface Range {
  readonly low: readonly number[];
  readonly span: readonly number[];
}

type SetHead = Omit<ReviewSet, 'faceCharts' | 'uvs' | 'faceRatio' | 'faceArea' | 'seams'> &
  Range & { readonly seams: readonly (Omit<ReviewSeam, 'corners'> & { readonly cornerCount: number })[] };

type Head = Pick<ReviewModel, 'name' | 'up' | 'front' | 'parts' | 'dropped'> &
  Range & {
    readonly pointCount: number;
    readonly faceCount: number;
    readonly cornerCount: number;
    readonly sets: readonly SetHead[];
  };

/** The review model that `packReview` packed, positions and UVs to 16 bits and fields to 8. */
export function unpackReview(packed: PackedReview): ReviewModel {
  const head = JSON.parse(packed.head) as Head;
  const reader = new ByteReader(unzlibSync(decodeBase64(packed.body)));
  const points = readQuantised(reader, head.pointCount, 3, head);
  const { faceVertexCounts, faceVertexIndices } = readFaces(reader, head);
  const faceParts = Int32Array.from(reader.readBytes(head.faceCount));
  const faceExposure = Float32Array.from(reader.readBytes(head.faceCount), (byte) => byte / 255);
  const sets = head.sets.map((set): ReviewSet => {
    const faceCharts = new Int32Array(head.faceCount);
    let last = 0;
    for (let f = 0; f < head.faceCount; f++) faceCharts[f] = last += reader.readSigned();
    const uvs = readUvs(reader, faceVertexIndices, head.pointCount, set);
    const faceRatio = fromBytes(reader, head.faceCount, 0, RATIO_LOG_LIMIT).map((x) => 2 ** x);
    const faceArea = fromBytes(reader, head.faceCount, -AREA_LOG_LIMIT, AREA_LOG_LIMIT);
    const seams = set.seams.map(({ cornerCount, ...seam }) => {
      let corner = 0;
      return { ...seam, corners: Array.from({ length: cornerCount }, () => (corner += reader.readSigned())) };
    });
    const { low: _low, span: _span, ...words } = set;
    return { ...words, seams, faceCharts, uvs, faceRatio, faceArea };
  });
  const { name, up, front, parts, dropped } = head;
  return {
    name,
    up,
    front,
    parts,
    points,
    faceVertexCounts,
    faceVertexIndices,
    faceParts,
    faceExposure,
    sets,
    dropped,
  };
}

function readQuantised(reader: ByteReader, count: number, size: number, { low, span }: Range): Float32Array {
  const values = new Float32Array(count * size);
  for (let k = 0; k < size; k++) {
    const lows = reader.readBytes(count);
    const highs = reader.readBytes(count);
    let step = 0;
    for (let n = 0; n < count; n++) {
      const folded = lows[n]! | (highs[n]! << 8);
      const difference = folded & 1 ? 0xffff - (folded >> 1) : folded >> 1;
      step = (step + difference) & 0xffff;
      values[n * size + k] = low[k]! + (step / STEPS) * span[k]!;
    }
  }
  return values;
}

function readFaces(
  reader: ByteReader,
  { faceCount, cornerCount }: Head,
): Pick<ReviewModel, 'faceVertexCounts' | 'faceVertexIndices'> {
  const faceVertexCounts = new Int32Array(faceCount);
  for (let f = 0; f < faceCount; f++) faceVertexCounts[f] = reader.readUnsigned();
  const faceVertexIndices = new Int32Array(cornerCount);
  let c = 0;
  let first = 0;
  for (let f = 0; f < faceCount; f++) {
    let last = first;
    for (let i = 0; i < faceVertexCounts[f]!; i++, c++) {
      last += reader.readSigned();
      if (i === 0) first = last;
      faceVertexIndices[c] = last;
    }
  }
  return { faceVertexCounts, faceVertexIndices };
}

function readUvs(
  reader: ByteReader,
  cornerPoints: Int32Array,
  pointCount: number,
  { low, span }: Range,
): Float32Array {
  const numbers = new Int32Array(cornerPoints.length);
  const counts = new Int32Array(pointCount);
  // Number of the UV that each corner takes; a new one gets the next number of all.
  const lists: (number[] | undefined)[] = new Array(pointCount);
  const single = new Int32Array(pointCount).fill(-1);
  let freshCount = 0;
  for (let c = 0; c < cornerPoints.length; c++) {
    const p = cornerPoints[c]!;
    const at = reader.readUnsigned();
    if (at === counts[p]) {
      if (at === 0) single[p] = freshCount;
      else (lists[p] ??= [single[p]!]).push(freshCount);
      counts[p]!++;
      numbers[c] = freshCount++;
    } else numbers[c] = at === 0 ? single[p]! : lists[p]![at]!;
  }
  reader.readUnsigned();
  const uvs = new Float32Array(2 * cornerPoints.length);
  const values = new Float32Array(freshCount);
  for (let k = 0; k < 2; k++) {
    let step = 0;
    for (let i = 0; i < freshCount; i++) {
      step += reader.readSigned();
      values[i] = step === 0 ? Number.NaN : low[k]! + ((step - 1) / (STEPS - 1)) * span[k]!;
    }
    for (let c = 0; c < cornerPoints.length; c++) uvs[2 * c + k] = values[numbers[c]!]!;
  }
  return uvs;
}

const fromBytes = (reader: ByteReader, count: number, from: number, to: number): Float32Array =>
  Float32Array.from(reader.readBytes(count), (byte) => from + (byte / 255) * (to - from));
