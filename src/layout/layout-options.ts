import { InvalidOptionError } from '../errors.js';
import type { AxisOptions } from '../fields/index.js';

/** How charts may be turned from their upright position. */
export type LayoutRotation = 'free' | 'quarter' | 'none';

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
   * Turns allowed after the charts have been stood upright: any angle, steps of 90°, or none.
   * @defaultValue 'free'
   */
  readonly rotation?: LayoutRotation;
  /**
   * How long to look for a tighter packing: 0 is one quick pass, 1 the usual search, 4 four times that.
   * Counted in steps, not in seconds, so that the result is the same on any machine. Range 0..100.
   * @defaultValue 1
   */
  readonly effort?: number;
  /** Stops the work with the error CANCELLED. */
  readonly signal?: AbortSignal;
}

/** Options with every default filled in. */
export interface ResolvedLayoutOptions {
  readonly resolution: number;
  readonly padding: number;
  readonly isPaddingGiven: boolean;
  readonly rotation: LayoutRotation;
  readonly effort: number;
}

export const LAYOUT_DEFAULTS: Readonly<{ resolution: number; rotation: LayoutRotation; effort: number }> = Object.freeze({
  resolution: 2048,
  rotation: 'free',
  effort: 1,
});

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
  return { resolution, padding, isPaddingGiven: options.padding !== undefined, rotation, effort };
}

function invalid(name: string, got: unknown, expected: string): InvalidOptionError {
  return new InvalidOptionError(
    'OPTION_INVALID',
    `arrangeCharts: bad ${name}, got ${String(got)}, expected ${expected}`,
    { [name]: got },
  );
}
