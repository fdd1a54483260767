import { InvalidOptionError } from '../errors.js';
import type { AxisOptions } from '../fields/index.js';

/** How charts may be turned from their upright position. */
export type LayoutRotation = 'free' | 'quarter' | 'none';

/** Linear factors on the texel density; a face's factor is the product of all that apply to it. */
export interface DensityWeights {
  /** By name of the part, such as { head: 1.5 }. */
  readonly parts?: Readonly<Record<string, number>>;
  /** By chart, in the order of the flat charts. */
  readonly charts?: ArrayLike<number>;
  /** By face of the mesh; a chart takes the mean over its area. */
  readonly faces?: ArrayLike<number>;
}

/** Charts that keep the place they already have. */
export interface LockedCharts {
  /** Indices into the flat charts. */
  readonly charts: readonly number[];
  /** uv of every corner of the mesh, 2 × cornerCount; those of the locked charts are kept. */
  readonly uvs: ArrayLike<number>;
}

export interface LayoutOptions extends AxisOptions {
  /**
   * Side of the square (of a tile) in pixels, a whole number from 16 to 65536.
   * @defaultValue 2048
   */
  readonly resolution?: number;
  /**
   * Pixels kept free round every chart and along the square's edge; charts are twice as far apart.
   * 0 or more. When it is left out and the charts are too many for it, it is lowered and a note says so.
   * @defaultValue resolution / 128
   */
  readonly padding?: number;
  /**
   * Turns allowed after the charts have been stood upright: any angle, steps of 90°, or none. With 'free'
   * the charts stay upright where that costs next to nothing.
   * @defaultValue 'free'
   */
  readonly rotation?: LayoutRotation;
  /** Where more or less density is wanted. @defaultValue even density */
  readonly weights?: DensityWeights;
  /**
   * Texel density wanted, in pixels per metre, above 0; as many tiles are filled as that needs.
   * @defaultValue as dense as the tiles allow
   */
  readonly density?: number;
  /** Length of a model unit in metres, above 0. @defaultValue 1 */
  readonly metresPerUnit?: number;
  /**
   * Most tiles to spread the charts over, 1 to 1000; the charts of a part stay together where they can.
   * @defaultValue 1, or as many as the density needs
   */
  readonly tiles?: number;
  /**
   * Lays mirror images over their originals, moved by a whole tile so that they bake apart.
   * @defaultValue false
   */
  readonly stackMirrored?: boolean;
  /**
   * Lays mirror images beside their originals, each the other's mirror image on the sheet as well, across a line that
   * may slant unless `rotation` is 'none'. Where limbs are charts of their own, a twentieth to an eighth of the sheet
   * less is filled. Not together with stackMirrored.
   * @defaultValue false
   */
  readonly pairMirrored?: boolean;
  /** Charts that stay where they are while the rest is packed round them, at their density or less. */
  readonly locked?: LockedCharts;
  /**
   * How long to look for a tighter packing: 0 is one quick pass, twice the number is twice the search; 1 fills
   * bodies about 0.5 % of the sheet more than 0.5 does, in twice the time. Counted in steps, not in seconds, so that the result is the same on any machine. More effort never gives
   * a looser packing. Range 0..100.
   * @defaultValue 0.5
   */
  readonly effort?: number;
  /**
   * Asked between the starts of the search, with the best fill so far; false ends the search. A caller with
   * a clock can give much effort and stop in time.
   */
  readonly keepGoing?: (fill: number) => boolean;
  /** Stops the work with the error CANCELLED. */
  readonly signal?: AbortSignal;
  /** Told the share done, 0..1, and the stage; the share never falls. */
  readonly onProgress?: (share: number, stage: string) => void;
}

/** Options with every default filled in and checked. */
export interface ResolvedLayoutOptions {
  readonly resolution: number;
  readonly padding: number;
  readonly isPaddingGiven: boolean;
  readonly rotation: LayoutRotation;
  readonly weights: DensityWeights;
  /** Pixels per model unit, Infinity for as dense as can be. */
  readonly pixelsPerUnit: number;
  readonly metresPerUnit: number;
  readonly tiles: number;
  readonly stackMirrored: boolean;
  readonly pairMirrored: boolean;
  readonly effort: number;
}

export const LAYOUT_DEFAULTS = Object.freeze({
  resolution: 2048,
  rotation: 'free' as LayoutRotation,
  metresPerUnit: 1,
  stackMirrored: false,
  pairMirrored: false,
  effort: 0.5,
});

/** Most tiles ever used. */
export const TILE_LIMIT = 1000;

/** Pixels of padding usual at a resolution: resolution / 128 (common practice, no source). */
export function defaultPadding(resolution: number): number {
  return resolution / 128;
}

/** Fills in defaults. @throws OPTION_INVALID */
export function resolveLayoutOptions(options: LayoutOptions): ResolvedLayoutOptions {
  const resolution = options.resolution ?? LAYOUT_DEFAULTS.resolution;
  if (!Number.isInteger(resolution) || resolution < 16 || resolution > 65536)
    throw invalid('resolution', resolution, 'a whole number from 16 to 65536');
  const padding = options.padding ?? defaultPadding(resolution);
  if (!(padding >= 0 && Number.isFinite(padding))) throw invalid('padding', padding, 'pixels, 0 or more');
  if (2 * padding >= resolution)
    throw invalid('padding', padding, `less than half the resolution of ${resolution}`);
  const rotation = options.rotation ?? LAYOUT_DEFAULTS.rotation;
  if (rotation !== 'free' && rotation !== 'quarter' && rotation !== 'none')
    throw invalid('rotation', rotation, "'free', 'quarter' or 'none'");
  const effort = options.effort ?? LAYOUT_DEFAULTS.effort;
  if (!(effort >= 0 && effort <= 100)) throw invalid('effort', effort, '0 to 100');
  const metresPerUnit = options.metresPerUnit ?? LAYOUT_DEFAULTS.metresPerUnit;
  if (!(metresPerUnit > 0 && Number.isFinite(metresPerUnit)))
    throw invalid('metresPerUnit', metresPerUnit, 'a length above 0');
  const { density } = options;
  if (density !== undefined && !(density > 0 && Number.isFinite(density)))
    throw invalid('density', density, 'pixels per metre above 0');
  const tiles = options.tiles ?? (density === undefined ? 1 : TILE_LIMIT);
  if (!Number.isInteger(tiles) || tiles < 1 || tiles > TILE_LIMIT)
    throw invalid('tiles', tiles, `a whole number from 1 to ${TILE_LIMIT}`);
  if (options.stackMirrored && options.pairMirrored)
    throw invalid('pairMirrored', true, 'mirror images either stacked or side by side, not both');
  if (options.locked && tiles > 1 && options.tiles !== undefined)
    throw invalid('tiles', tiles, '1 when charts are locked');
  return {
    resolution,
    padding,
    isPaddingGiven: options.padding !== undefined,
    rotation,
    weights: options.weights ?? {},
    pixelsPerUnit: density === undefined ? Infinity : density * metresPerUnit,
    metresPerUnit,
    tiles: options.locked ? 1 : tiles,
    stackMirrored: options.stackMirrored ?? LAYOUT_DEFAULTS.stackMirrored,
    pairMirrored: options.pairMirrored ?? LAYOUT_DEFAULTS.pairMirrored,
    effort,
  };
}

function invalid(name: string, got: unknown, expected: string): InvalidOptionError {
  return new InvalidOptionError(
    'OPTION_INVALID',
    `arrangeCharts: bad ${name}, got ${String(got)}, expected ${expected}`,
    { option: name, [name]: got },
  );
}
