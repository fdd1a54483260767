/** Points along an outline, in runs that a circle bounds. */
export interface BorderSamples {
  /** xy of each sample, and the length of border that it stands for: 3 × sample count. */
  readonly samples: Float64Array;
  /** Centre and radius of each run: 3 × run count. */
  readonly circles: Float64Array;
  /** First sample of each run, and the sample count at the end. */
  readonly runOffsets: Int32Array;
}

/** Samples in a run. */
const RUN = 6;

/** Spreads samples along an outline, no further apart than the spacing, every corner among them. */
export function sampleBorder(points: Float64Array, loopOffsets: Int32Array, spacing: number): BorderSamples {
  const samples: number[] = [];
  const circles: number[] = [];
  const runOffsets = [0];
  for (let l = 0; l + 1 < loopOffsets.length; l++) {
    const first = loopOffsets[l]!;
    const end = loopOffsets[l + 1]!;
    let begin = samples.length;
    for (let k = first; k < end; k++) {
      const n = k + 1 === end ? first : k + 1;
      const ex = points[2 * n]! - points[2 * k]!;
      const ey = points[2 * n + 1]! - points[2 * k + 1]!;
      const length = Math.hypot(ex, ey);
      const count = Math.max(1, Math.ceil(length / spacing));
      for (let s = 0; s < count; s++)
        samples.push(
          points[2 * k]! + (ex * s) / count,
          points[2 * k + 1]! + (ey * s) / count,
          Math.max(length / count, 0.1),
        );
    }
    for (; begin < samples.length; begin += 3 * RUN) {
      const stop = Math.min(samples.length, begin + 3 * RUN);
      circles.push(...boundingCircle(samples, begin, stop));
      runOffsets.push(stop / 3);
    }
  }
  return {
    samples: Float64Array.from(samples),
    circles: Float64Array.from(circles),
    runOffsets: Int32Array.from(runOffsets),
  };
}

/** Circle about the middle of the samples' box. */
function boundingCircle(samples: readonly number[], begin: number, stop: number): [number, number, number] {
  let x0 = Infinity;
  let x1 = -Infinity;
  let y0 = Infinity;
  let y1 = -Infinity;
  for (let k = begin; k < stop; k += 3) {
    x0 = Math.min(x0, samples[k]!);
    x1 = Math.max(x1, samples[k]!);
    y0 = Math.min(y0, samples[k + 1]!);
    y1 = Math.max(y1, samples[k + 1]!);
  }
  const x = (x0 + x1) / 2;
  const y = (y0 + y1) / 2;
  let radius = 0;
  for (let k = begin; k < stop; k += 3)
    radius = Math.max(radius, Math.hypot(samples[k]! - x, samples[k + 1]! - y));
  return [x, y, radius];
}
