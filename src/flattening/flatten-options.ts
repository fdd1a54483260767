import type { Pins } from './pins.js';

/**
 * How a map is computed.
 *
 * - `isometric`: least symmetric Dirichlet energy; never flips, and overlaps are pushed apart. The default.
 * - `boundary-first`: conformal with zero scale along the border, the least area distortion of conformal maps.
 * - `lscm`: least-squares conformal with two border vertices pinned.
 * - `spectral`: least-squares conformal without pins.
 * - `angle-based`: angles nearest to those in space.
 * - `arap`: as rigid as possible.
 * - `barycentric`: embedding in a circle; never flips or overlaps, and is only a start for others.
 */
export type FlattenMethod =
  | 'isometric'
  | 'boundary-first'
  | 'lscm'
  | 'spectral'
  | 'angle-based'
  | 'arap'
  | 'barycentric';

/**
 * What a map is judged by, each an area-weighted mean and least for an isometry: `isometry` the symmetric
 * Dirichlet energy (4 at best), `angles` σ1/σ2 (1), `area` max(s, 1/s) of the area ratio over its mean (1),
 * `stretch` the normalised L2 stretch (1).
 */
export type FlattenMeasure = 'isometry' | 'angles' | 'area' | 'stretch';

export interface FlattenOptions {
  /**
   * `auto` takes the sound map that is best under `measure`: the isometric one without a look at others unless
   * `compare` is set. A method whose map flips or overlaps gives way to `isometric`.
   * @defaultValue 'auto'
   */
  readonly method?: 'auto' | FlattenMethod;
  /**
   * Tries every method and reports all in `attempts`.
   * @defaultValue false
   */
  readonly compare?: boolean;
  /** @defaultValue 'isometry' */
  readonly measure?: FlattenMeasure;
  /**
   * Most steps of the descent.
   * @defaultValue 200
   */
  readonly iterationLimit?: number;
  /**
   * The descent stops when a step promises less than this share of the energy above that of an isometry.
   * @defaultValue 1e-3
   */
  readonly tolerance?: number;
  /**
   * Mirror partner of each local vertex, itself on the axis: the map comes out symmetric in u = 0.
   * @defaultValue no symmetry is asked for
   */
  readonly mirrorPartners?: Int32Array;
  /** Places and lines that vertices must come out at; not together with `mirrorPartners`. */
  readonly pins?: Pins;
  /**
   * uv of the border's vertices, in the order of the chart's border loop, model units: the border is laid out
   * so and only the inside is computed.
   */
  readonly borderUvs?: ArrayLike<number>;
}

export const FLATTEN_DEFAULTS: Readonly<
  Required<Pick<FlattenOptions, 'method' | 'compare' | 'measure' | 'iterationLimit' | 'tolerance'>>
> = Object.freeze({
  method: 'auto',
  compare: false,
  measure: 'isometry',
  iterationLimit: 200,
  tolerance: 1e-3,
});
