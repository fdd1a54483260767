import { InvalidOptionError } from '../errors.js';
import type { Mesh } from '../mesh/index.js';
import { LETTER_WIDTH, placeLabels } from './chart-labels.js';
import type { DrawnSet } from './drawn-set.js';
import { encodePng } from './encode-png.js';
import { traceOutlines } from './layout-outlines.js';
import { BORDER_STYLE, INK, parseColour, SEAM_COLOURS } from './palette.js';
import { visitLine } from './raster.js';
import { findEdgeSeams } from './seam-lookup.js';
import { styleSeams } from './seam-styles.js';
import { capHeight, measureText, strokeText } from './stroke-text.js';

export interface DrawTemplateOptions {
  /**
   * Side of the picture in pixels, a whole number from 16 to 16384.
   * @defaultValue 2048
   */
  readonly resolution?: number;
  /**
   * UDIM number of the tile to draw, 1001 to 2000.
   * @defaultValue 1001
   */
  readonly tile?: number;
}

export const DRAW_TEMPLATE_DEFAULTS: Readonly<Required<DrawTemplateOptions>> = Object.freeze({
  resolution: 2048,
  tile: 1001,
});

/** Pixels of the sheet to a pixel of a line's width. */
const PER_WIDTH = 1024;
/** Size of a font, in pixels, to a pixel of its strokes' width. */
const PER_STROKE = 16;
/** Letters of fewer pixels are blots. */
const LEAST_CAP = 5;

/**
 * Draws the outlines of a tile's charts, each seam in one style on both of its sides, as a PNG that is clear
 * between the lines: a layer to paint under, pixel on pixel with the sheet. Part names stand where `drawLayout` has
 * them, but for those whose capitals would be under 5 pixels high.
 *
 * @param layout - uv of every corner, 2 × cornerCount; corners with NaN are left out
 * @throws OPTION_INVALID
 *
 * Linear in the size of the mesh and in the pixels; a byte a pixel.
 */
export function drawTemplate(
  mesh: Mesh,
  layout: { readonly uvs: Float64Array },
  set: DrawnSet = { seams: [] },
  options: DrawTemplateOptions = {},
): Uint8Array {
  const { resolution, tile } = { ...DRAW_TEMPLATE_DEFAULTS, ...options };
  check('resolution', resolution, 16, 16384);
  check('tile', tile, 1001, 2000);
  const u0 = (tile - 1001) % 10;
  const v0 = Math.floor((tile - 1001) / 10);
  const colours = [INK, ...SEAM_COLOURS];
  const pixels = new Uint8Array(resolution * resolution);
  const styles = styleSeams(set.seams);
  const width = Math.max(1, resolution / PER_WIDTH);
  const x = (u: number) => (u - u0) * resolution;
  const y = (v: number) => (1 + v0 - v) * resolution;
  const setPixel = (px: number, py: number, index: number) => {
    if (px >= 0 && py >= 0 && px < resolution && py < resolution) pixels[py * resolution + px] = index;
  };
  const charts = traceOutlines(mesh, layout.uvs, findEdgeSeams(mesh, set.seams));
  for (const { text, u, v, size } of placeLabels(mesh, layout.uvs, charts, set)) {
    const share = Math.min(1, (LETTER_WIDTH * text.length) / measureText(text));
    const place = { x: x(u), y: y(v), size: share * size * resolution };
    if (capHeight(place.size) < LEAST_CAP) continue;
    const stroke = { width: Math.max(1, place.size / PER_STROKE) };
    for (const line of strokeText(text, place))
      visitLine(line, stroke, (px, py) => setPixel(px, py, 1 + colours.indexOf(INK)));
  }
  for (const { runs } of charts) {
    for (const { seam, points, isClosed } of runs) {
      const style = styles[seam] ?? BORDER_STYLE;
      const index = 1 + colours.indexOf(style.colour);
      const dash = style.dash === '' ? undefined : style.dash.split(' ').map((part) => Number(part) * width);
      const end = isClosed ? points.length : points.length - 2;
      for (let k = 0, start = 0; k < end; k += 2) {
        const n = (k + 2) % points.length;
        const ends = [x(points[k]!), y(points[k + 1]!), x(points[n]!), y(points[n + 1]!)] as const;
        if (!ends.every((value) => value >= -1 && value <= resolution + 1)) continue;
        visitLine(ends, { width, dash, start }, (px, py) => setPixel(px, py, index));
        start += Math.hypot(ends[2] - ends[0], ends[3] - ends[1]);
      }
    }
  }
  return encodePng(resolution, resolution, pixels, [[0, 0, 0], ...colours.map(parseColour)]);
}

function check(name: string, value: number, low: number, high: number): void {
  if (Number.isInteger(value) && value >= low && value <= high) return;
  throw new InvalidOptionError(
    'OPTION_INVALID',
    `drawTemplate: bad ${name}, got ${value}, expected a whole number from ${low} to ${high}`,
    { [name]: value },
  );
}
