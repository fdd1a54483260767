/** Points along an outline. */
export interface BorderSamples {
  /** xy of each sample, and the length of border that it stands for: 3 × sample count. */
  readonly samples: Float64Array;
  /** First sample of each loop, and the sample count at the end. */
  readonly loopOffsets: Int32Array;
}

/** Spreads samples along an outline, no further apart than the spacing, every corner among them. */
export function sampleBorder(points: Float64Array, loopOffsets: Int32Array, spacing: number): BorderSamples {
  const samples: number[] = [];
  const offsets = new Int32Array(loopOffsets.length);
  for (let l = 0; l + 1 < loopOffsets.length; l++) {
    const first = loopOffsets[l]!;
    const end = loopOffsets[l + 1]!;
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
    offsets[l + 1] = samples.length / 3;
  }
  return { samples: Float64Array.from(samples), loopOffsets: offsets };
}
