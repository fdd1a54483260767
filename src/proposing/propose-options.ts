import type { Viewpoints } from '../fields/index.js';
import type { Vec3 } from '../math/index.js';
import type { FaceId, PointId } from '../mesh/index.js';
import type { CostWeights } from '../seams/index.js';

/** Charts that are settled; `settleCharts` makes it from a set. */
export interface SettledCharts {
  readonly faces: readonly FaceId[];
  /** Seams on and between the faces, as pairs of points. No other edge of the faces is cut. */
  readonly edges: readonly (readonly [PointId, PointId])[];
}

/** The artist's word. Points and faces are the caller's own indices. */
export interface SeamHints {
  /** Edges that are always cut, as pairs of points. */
  readonly keep?: readonly (readonly [PointId, PointId])[];
  /** Edges that are cut only where nothing else gives disks; each such case is reported. */
  readonly avoid?: readonly (readonly [PointId, PointId])[];
  /** Faces whose edges are avoided. */
  readonly avoidFaces?: readonly FaceId[];
  /** Charts to leave as they are, while seams are proposed for the rest. */
  readonly settled?: SettledCharts;
  /** Faces in groups whose borders are always cut, such as materials. */
  readonly faceGroups?: readonly (readonly FaceId[])[];
  /** One number per face, 0 draws seams in, 0.5 is neutral, 1 pushes them away. */
  readonly paint?: ArrayLike<number>;
  /** Chains of points; a seam is laid through each chain, in order. */
  readonly waypoints?: readonly (readonly PointId[])[];
  /**
   * Chains of points that shall come out on a straight line of their piece. They do not move seams: hand them
   * to `flattenCharts` as `lines`.
   */
  readonly pins?: readonly (readonly PointId[])[];
  /** Faces that a garment or hair hides: their exposure counts as 0. */
  readonly coveredFaces?: readonly FaceId[];
  /** UVs of every corner (2 × corners, NaN for none) whose seams are kept. */
  readonly existingUvs?: ArrayLike<number>;
  /** Edges sharper than this many degrees are always cut. */
  readonly hardEdgeAngle?: number;
}

export interface ProposeOptions {
  /** The model's up axis. @defaultValue [0, 1, 0] */
  readonly up?: Vec3;
  /** The way the model faces. @defaultValue [0, 0, 1] */
  readonly front?: Vec3;
  /** Where the model will be seen from, beside the front. @defaultValue 'all-round' */
  readonly viewpoints?: Viewpoints;
  /** Mirror seams where the surface has a mirror plane. @defaultValue 'auto' */
  readonly symmetry?: 'auto' | 'off';
  /** How many sets to return at most, 1..8. @defaultValue 3 */
  readonly sets?: number;
  /**
   * Mean symmetric Dirichlet energy that a chart should stay under; 4 is no stretch. Cuts are added until
   * it holds, or until no cut helps; edges to be avoided weigh more. What stays over a limit given here is told in
   * `conflicts`. @defaultValue 4.5
   */
  readonly stretchLimit?: number;
  /** Most charts per set; sets with more are dropped, whatever the stretch. @defaultValue no limit */
  readonly chartLimit?: number;
  /** The artist's word: what is kept, avoided, painted, passed. @defaultValue none */
  readonly hints?: SeamHints;
  /** A house style: what length and exposure cost. @defaultValue COST_WEIGHTS */
  readonly profile?: Partial<CostWeights>;
  /** Weights of the criteria in the score. */
  readonly criteria?: Partial<Record<'stretch' | 'exposure' | 'pieces' | 'symmetry' | 'fill', number>>;
  /** Stops the work, which then throws CANCELLED. @defaultValue none */
  readonly signal?: AbortSignal;
  /** Called with a share of the work done, 0..1, and what is being done. */
  readonly onProgress?: (share: number, stage: string) => void;
}

export const PROPOSE_DEFAULTS = Object.freeze({
  up: [0, 1, 0] as Vec3,
  front: [0, 0, 1] as Vec3,
  viewpoints: 'all-round' as Viewpoints,
  symmetry: 'auto' as const,
  sets: 3,
  stretchLimit: 4.5,
});
