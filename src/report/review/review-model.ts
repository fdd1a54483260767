import type { Vec3 } from '../../math/index.js';

/** A seam on the review page. */
export interface ReviewSeam {
  readonly role: string;
  /** Part with its side, as shown. */
  readonly label: string;
  /** Model units. */
  readonly length: number;
  /** 0..1 */
  readonly exposure: number;
  readonly reason: string;
  readonly colour: string;
  /** Dash and gap in line widths; empty for a whole line. */
  readonly dash: string;
  /** The seam's edges, each as the corner it starts from; both sides of every edge. */
  readonly corners: readonly number[];
}

/** A chart on the review page; energies count from 4, which is no stretch. */
export interface ReviewChart {
  readonly label: string;
  readonly faceCount: number;
  readonly area: number;
  readonly predicted: number;
  readonly predictedLow: number;
  readonly predictedHigh: number;
  readonly measured: number;
}

/** What a set is compared by. */
export interface ReviewFigures {
  readonly stretch: number;
  readonly predicted: number;
  readonly exposure: number;
  readonly frontExposure: number;
  readonly seamLength: number;
  readonly pieces: number;
  readonly symmetry: number;
  readonly fill: number;
  readonly score: number;
}

/** A candidate that was drawn and not offered; what is measured only on a sheet is not known of it. */
export interface ReviewDropped {
  readonly name: string;
  readonly reason: string;
  /** Index of the offered set that beats it, -1 for none. */
  readonly beatenBy: number;
  readonly figures: Omit<ReviewFigures, 'stretch' | 'fill' | 'score'>;
}

export interface ReviewSet {
  readonly name: string;
  readonly summary: string;
  readonly figures: ReviewFigures;
  readonly seams: readonly ReviewSeam[];
  readonly charts: readonly ReviewChart[];
  /** Pixels along one square of the sheet. */
  readonly resolution: number;
  /** Chart of each face, -1 for none. */
  readonly faceCharts: Int32Array;
  /** u, v of every corner; NaN where there is none. */
  readonly uvs: Float32Array;
  /** σ1/σ2 of each face. */
  readonly faceRatio: Float32Array;
  /** log2 of the area ratio of each face over the mean of the sheet. */
  readonly faceArea: Float32Array;
}

/** All that the review page shows, in the caller's indices. */
export interface ReviewModel {
  readonly name: string;
  readonly up: Vec3;
  readonly front: Vec3;
  readonly points: Float32Array;
  readonly faceVertexCounts: Int32Array;
  readonly faceVertexIndices: Int32Array;
  readonly parts: readonly string[];
  /** Index into `parts` of each face. */
  readonly faceParts: Int32Array;
  /** 0..1 of each face. */
  readonly faceExposure: Float32Array;
  readonly sets: readonly ReviewSet[];
  readonly dropped: readonly ReviewDropped[];
}

/** The largest σ1/σ2 told apart, as a power of two. */
export const RATIO_LOG_LIMIT = 2;
/** The largest area ratio either way told apart, as a power of two. */
export const AREA_LOG_LIMIT = 2;
