import { InvalidMeshError, InvalidOptionError, throwIfAborted } from '../errors.js';
import { buildAxisFrame } from '../fields/index.js';
import type { Mesh } from '../mesh/index.js';
import { spreadCornerUvs, traceOutline } from './chart-outline.js';
import type { ChartOutline } from './chart-outline.js';
import { findChartWeights } from './density-weights.js';
import type { FlatChartLike, FlatSetLike } from './flat-chart.js';
import type { Layout } from './layout.js';
import type { LayoutOptions, LockedCharts, ResolvedLayoutOptions } from './layout-options.js';
import { resolveLayoutOptions } from './layout-options.js';
import type { Margins } from './pack-rows.js';
import { marginShare, packTiles } from './pack-tiles.js';
import type { PieceSource } from './piece.js';
import { makePiece } from './piece.js';
import type { ChartPlace } from './place-charts.js';
import { placeCharts } from './place-charts.js';
import type { Reflection } from './stack-mirrored.js';
import { findReflection } from './stack-mirrored.js';
import { findUprightAngles } from './upright.js';

/** Texels are compared in floating point; the gutter is kept this much wider so that none is lost to it. */
const GUTTER_MARGIN = 1e-9;
/** Charts with less than this share of all UV area cover no texel and are not packed. */
const EMPTY_SHARE = 1e-12;
/** A padding that was not asked for is lowered until the margins take no more than this share of the square. */
const MARGIN_LIMIT = 0.3;

/**
 * Arranges flattened charts on the unit square, or on tiles, at one even texel density: upright, apart by the
 * gutter, aspect kept, none mirrored. The same input gives the same layout.
 *
 * Distances count as texels see them, the larger of those in u and in v; between any two charts of a tile it
 * is at least twice the padding, and from a chart to the tile's edge at least the padding. Charts without any
 * area cover no texel: they are drawn together to a point in the tile's margin.
 *
 * @param flat - flat charts, each with UVs in model units
 * @throws OPTION_INVALID for bad options; UV_INVALID when UVs are not finite or no chart has area;
 * LAYOUT_IMPOSSIBLE when margins leave no room or a density needs more tiles than allowed; CANCELLED
 *
 * @example
 * const layout = arrangeCharts(mesh, flattenCharts(mesh, set), { resolution: 2048, padding: 16 });
 * layout.uvs; // u and v of every corner
 */
export function arrangeCharts(mesh: Mesh, flat: FlatSetLike, options: LayoutOptions = {}): Layout {
  const frame = buildAxisFrame(options);
  let resolved = resolveLayoutOptions(options);
  throwIfAborted(options.signal);
  const notes: string[] = [];
  const charts = flat.charts.map(faceUp);
  const spread = spreadCornerUvs(mesh, charts);
  const outlines = charts.map((chart, i) => checkOutline(traceOutline(mesh, spread, chart), i));
  const totalArea = outlines.reduce((sum, o) => sum + Math.abs(o.area), 0);
  if (!(totalArea > 0))
    throw new InvalidMeshError('UV_INVALID', 'arrangeCharts: no chart covers any area, expected at least one that does', {});
  const isEmpty = outlines.map((o) => Math.abs(o.area) <= EMPTY_SHARE * totalArea);
  const locked = options.locked ? findLocked(mesh, charts, options.locked) : new Set<number>();
  const stacked = resolved.stackMirrored ? findStacked(charts, outlines, notes) : new Map<number, Reflection>();
  const members = charts.map((_, i) => i).filter((i) => !isEmpty[i] && !stacked.has(i));
  resolved = lowerPadding(resolved, members.length, notes);
  const margins: Margins = {
    border: resolved.padding / resolved.resolution,
    gutter: ((2 * resolved.padding) / resolved.resolution) * (1 + GUTTER_MARGIN),
  };
  const weights = findChartWeights(mesh, charts, resolved.weights);
  const angles = findUprightAngles(mesh, spread, charts, frame);
  const sources = outlines.map((outline, i) =>
    locked.has(i) ? lockPiece(mesh, charts[i]!, options.locked!.uvs) : makePiece(outline, angles[i]!, weights[i]!),
  );
  const density = lockedDensity(charts, outlines, sources, weights, locked);
  if (density * resolved.resolution < resolved.pixelsPerUnit)
    resolved = { ...resolved, pixelsPerUnit: density * resolved.resolution };
  const tiles = packTiles({
    charts,
    pieces: sources.map((s) => s.piece),
    members,
    margins,
    options: resolved,
    isDensityFirm: options.density !== undefined,
    keepGoing: (fill) => {
      throwIfAborted(options.signal);
      return options.keepGoing?.(fill) ?? true;
    },
  });
  const places: (ChartPlace | undefined)[] = charts.map(() => undefined);
  tiles.forEach((tile, t) => {
    tile.charts.forEach((i, k) => {
      places[i] = placeOf(sources[i]!, tile.packing.scale, tile.packing.placements[k]!, t);
    });
  });
  charts.forEach((_, i) => {
    const reflection = stacked.get(i);
    if (reflection) places[i] = placeOver(places[charts[i]!.mirrorOf!]!, reflection, tiles.length);
  });
  return placeCharts({ mesh, charts, outlines, places, sources, tiles, margins, options: resolved, notes });
}
