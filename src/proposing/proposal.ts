import type { ChartTopology, FaceId, PointId, Repair } from '../mesh/index.js';
import type { SeamRole } from '../seams/index.js';

export type Side = 'left' | 'right' | 'centre';

/** A chain of mesh edges that is cut. */
export interface Seam {
  readonly role: SeamRole;
  readonly part: string;
  readonly side: Side;
  /** Pairs of the caller's point indices, in order along the seam. */
  readonly edges: readonly (readonly [PointId, PointId])[];
  /** The caller's points along the seam; the first again at the end of a closed one. */
  readonly vertices: readonly PointId[];
  /** In model units. */
  readonly length: number;
  /** Mean exposure along the seam, 0..1. */
  readonly exposure: number;
  /**
   * Energy, as a mean over the whole surface, that leaving this seam out would add, as predicted from the
   * surroundings or, where these tell too little, for the whole chart; half of what leaving out both would add where
   * its mirror image is another. Only of short seams that end in the middle of a chart, which alone could be left out.
   */
  readonly saving?: number;
  /** Why the seam is there, in words. */
  readonly reason: string;
}

/** What is expected before anything is flattened. */
export interface ChartPrediction {
  /** Area-weighted mean symmetric Dirichlet energy; 4 is no stretch. */
  readonly energy: number;
  /** Nine charts of ten are measured between these. */
  readonly energyLow: number;
  readonly energyHigh: number;
}

export interface ChartForecast extends ChartPrediction {
  /** Area-weighted mean of max(s, 1/s), s the area ratio over its mean; 1 is equal area. */
  readonly areaSpread: number;
  /** The caller's face that will be stretched most, -1 when unknown. */
  readonly worstFace: FaceId;
  /** The caller's point round which stretch gathers, -1 when unknown. */
  readonly worstPoint: PointId;
}

export interface ProposedChart {
  /** The caller's faces, ascending. */
  readonly faces: Int32Array;
  readonly part: string;
  readonly side: Side;
  readonly topology: ChartTopology;
  readonly prediction: ChartForecast;
  /** Surface area in model units squared. */
  readonly area: number;
  /** Index of the chart this one is the mirror image of. */
  readonly mirrorOf?: number;
}

/** Figures a set is judged by; smaller is better, but for symmetry. */
export interface SetCriteria {
  /** Area-weighted mean energy − 4. */
  readonly stretch: number;
  /** Length of seam weighted by exposure, over the square root of the surface area. */
  readonly exposure: number;
  /** The same by what is seen from the front. */
  readonly frontExposure: number;
  readonly seamLength: number;
  readonly pieces: number;
  /** Share of seam length whose mirror image is a seam too, 0..1. */
  readonly symmetry: number;
  /** Share of the sheet that the charts can be expected to cover, 0..1. */
  readonly fill: number;
}

export interface SeamSet {
  readonly name: string;
  readonly seams: readonly Seam[];
  readonly charts: readonly ProposedChart[];
  readonly prediction: ChartPrediction;
  readonly criteria: SetCriteria;
  /** 0..1, larger is better. */
  readonly score: number;
  /** One or two sentences for a person. */
  readonly summary: string;
}

/**
 * Why a candidate was not offered: a chart is no disk, more charts than allowed, another is better in something and
 * worse in nothing, too little of a sheet covered, or others with more to offer were enough.
 */
export type DropCause = 'notDisks' | 'chartLimit' | 'beaten' | 'packing' | 'spread';

/** A candidate that was drawn and not offered; its seams are not kept. */
export interface DroppedSet {
  readonly name: string;
  readonly cause: DropCause;
  /** The cause in words. */
  readonly reason: string;
  /** Index of the first offered set that is no worse in pieces, stretch, exposure and fill, and better in one. */
  readonly beatenBy?: number;
  readonly prediction: ChartPrediction;
  readonly criteria: SetCriteria;
}

/** Something the artist asked for that could not be had in full. */
export interface Conflict {
  readonly hint: string;
  readonly message: string;
}

export interface Proposal {
  /** Best first; one at least. */
  readonly sets: readonly [SeamSet, ...SeamSet[]];
  /** Candidates that were drawn and not offered, in the order of drawing. */
  readonly dropped: readonly DroppedSet[];
  /** Repairs made while the mesh was read. */
  readonly repairs: readonly Repair[];
  readonly mirror: { readonly matchedShare: number } | undefined;
  readonly conflicts: readonly Conflict[];
}
