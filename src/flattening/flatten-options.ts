/** How a map is computed; see docs for what each is good at. */
export type FlattenMethod =
  | 'isometric'
  | 'lscm'
  | 'spectral'
  | 'angle-based'
  | 'boundary-first'
  | 'arap'
  | 'barycentric';

export interface FlattenOptions {
  /**
   * `auto` takes the map of least energy: the isometric one unless `compare` is set.
   * @defaultValue 'auto'
   */
  readonly method?: 'auto' | FlattenMethod;
  /**
   * Most steps of the descent.
   * @defaultValue 100
   */
  readonly iterationLimit?: number;
  /**
   * The descent stops when a step promises less than this share of the energy.
   * @defaultValue 1e-7
   */
  readonly tolerance?: number;
}

export const FLATTEN_DEFAULTS: Readonly<Required<FlattenOptions>> = Object.freeze({
  method: 'auto',
  iterationLimit: 200,
  tolerance: 1e-7,
});
