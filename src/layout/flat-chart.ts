/** What a chart must say about itself to be laid out; the flattening's charts do. */
export interface FlatChartLike {
  /** The chart's faces in the caller's indexing. */
  readonly faces: ArrayLike<number>;
  /** The caller's corners (indices into faceVertexIndices) of those faces, in any order. */
  readonly corners: ArrayLike<number>;
  /** UV of each of `corners`, 2 × corners.length, in model units. */
  readonly uvs: ArrayLike<number>;
  /** Area of the chart on the model, model units squared. @defaultValue the area of its UVs */
  readonly surfaceArea?: number;
  /** Name of the part the chart belongs to; charts of one part are kept together on tiles. */
  readonly part?: string | undefined;
  readonly side?: string | undefined;
  /** Index of the chart whose mirror image this one is. */
  readonly mirrorOf?: number | undefined;
}

/** Flattened charts of one seam set. */
export interface FlatSetLike {
  readonly charts: readonly FlatChartLike[];
}

/** Only what the layout needs of a chart: to keep it, or to send it to another thread, without the rest. */
export function pickFlatChart<T extends FlatChartLike>(
  chart: T,
): Pick<T, 'faces' | 'corners' | 'uvs' | 'surfaceArea' | 'part' | 'side' | 'mirrorOf'> {
  const { faces, corners, uvs, surfaceArea, part, side, mirrorOf } = chart;
  return { faces, corners, uvs, surfaceArea, part, side, mirrorOf };
}
