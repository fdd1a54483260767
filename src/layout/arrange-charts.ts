import { InvalidMeshError, InvalidOptionError, throwIfAborted } from '../errors.js';
import { buildAxisFrame } from '../fields/index.js';
import type { Mesh } from '../mesh/index.js';
import { requireMesh } from '../mesh/index.js';
import { findBoundingAngles } from './bounding-angles.js';
import type { ChartOutline, CornerUvs } from './chart-outline.js';
import { spreadCornerUvs, traceOutline } from './chart-outline.js';
import { findChartWeights } from './density-weights.js';
import type { FlatChartLike, FlatSetLike } from './flat-chart.js';
import type { Layout } from './layout.js';
import type { LayoutOptions, LockedCharts, ResolvedLayoutOptions } from './layout-options.js';
import { resolveLayoutOptions } from './layout-options.js';
import type { Margins } from './pack-rows.js';
import type { TileJob } from './pack-tiles.js';
import { marginShare } from './pack-tiles.js';
import { findMirroredPairs, packPairs } from './pair-mirrored.js';
import type { Piece, PieceSource } from './piece.js';
import { makePiece } from './piece.js';
import type { ChartPlace } from './place-charts.js';
import { fitPlace, placeCharts, placeOf, placeOver } from './place-charts.js';
import type { Reflection } from './stack-mirrored.js';
import { findReflection, noteNoImage } from './stack-mirrored.js';
import { findUprightAngles } from './upright.js';

/** Texels are compared in floating point; the gutter is kept this much wider so that none is lost to it. */
const GUTTER_MARGIN = 1e-9;
/** Charts with less than this share of all UV area cover no texel and are not packed. */
const EMPTY_SHARE = 1e-12;
/** A padding that was not asked for is lowered until the margins take no more than this share of the square. */
const MARGIN_LIMIT = 0.3;
/** A chart that keeps the fill under this is pointed out. */
const NOTED_LIMIT = 0.7;

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
  requireMesh(mesh, 'arrangeCharts');
  const frame = buildAxisFrame(options);
  let resolved = resolveLayoutOptions(options);
  throwIfAborted(options.signal);
  let reported = 0;
  const report = (share: number, stage: string) => {
    reported = Math.max(reported, share);
    options.onProgress?.(reported, stage);
  };
  report(0, 'outline');
  const notes: string[] = [];
  const charts = flat.charts.slice();
  const spread = spreadCornerUvs(mesh, charts);
  const outlines = charts.map((chart, i) => {
    checkUvs(chart, i);
    return traceOutline(mesh, spread, chart);
  });
  turnFaceUp(charts, spread, outlines);
  const totalArea = outlines.reduce((sum, o) => sum + Math.abs(o.area), 0);
  if (!(totalArea > 0))
    throw new InvalidMeshError(
      'UV_INVALID',
      'arrangeCharts: no chart covers any area, expected at least one that does',
    );
  const isEmpty = outlines.map((o) => Math.abs(o.area) <= EMPTY_SHARE * totalArea);
  const locked = new Set(options.locked?.charts ?? []);
  const lockedPieces = options.locked ? lockPieces(mesh, charts, options.locked) : [];
  const stacked = resolved.stackMirrored
    ? findStacked(charts, outlines, notes)
    : new Map<number, Reflection>();
  const members = charts.map((_, i) => i).filter((i) => !isEmpty[i] && !stacked.has(i));
  resolved = lowerPadding(resolved, members.length, notes);
  const margins: Margins = {
    border: resolved.padding / resolved.resolution,
    gutter: ((2 * resolved.padding) / resolved.resolution) * (1 + GUTTER_MARGIN),
  };
  const weights = findChartWeights(mesh, charts, resolved.weights);
  for (const part of Object.keys(resolved.weights.parts ?? {}))
    if (!charts.some((chart) => chart.part === part))
      notes.push(`no chart is of the part '${part}', so its density weight changed nothing`);
  const angles = findUprightAngles(mesh, spread, charts, frame);
  const sources = outlines.map((outline, i) => makePiece(outline, angles[i]!, weights[i]!));
  const pieces = sources.map((source, i) => lockedPieces[i] ?? source.piece);
  const job: TileJob = {
    charts,
    pieces,
    members,
    margins,
    options: resolved,
    maxScale: lockedScale(pieces, sources, locked),
    keepGoing: (fill, share) => {
      throwIfAborted(options.signal);
      report(share, 'pack');
      return options.keepGoing?.(fill) ?? true;
    },
  };
  const { rotation } = resolved;
  const loose = members.filter((i) => !locked.has(i));
  const pairs = resolved.pairMirrored
    ? findMirroredPairs(charts, outlines, sources, { members: loose, rotation, notes })
    : [];
  const tiles = packPairs(job, pairs, notes);
  const places: (ChartPlace | undefined)[] = charts.map(() => undefined);
  tiles.forEach((tile, t) => {
    tile.charts.forEach((i, k) => {
      places[i] = locked.has(i)
        ? fitPlace(charts[i]!, options.locked!.uvs)
        : placeOf(sources[i]!, tile.packing.scale, tile.packing.placements[k]!, t);
    });
  });
  for (const [i, reflection] of stacked) {
    const original = places[charts[i]!.mirrorOf!]!;
    places[i] = placeOver(original, reflection, original.tile + tiles.length);
  }
  const fillLimit = findFillLimit(pieces, members, margins, resolved);
  if (tiles.length === 1 && fillLimit.fill < NOTED_LIMIT)
    notes.push(
      `chart ${fillLimit.chart} alone spans the square and keeps the fill to ${(100 * fillLimit.fill).toFixed(0)} % at most`,
    );
  const layout = placeCharts({
    mesh,
    charts,
    outlines,
    places,
    pieces,
    tiles,
    options: resolved,
    lockedUvs: options.locked?.uvs,
    locked,
    fillLimit: tiles.length === 1 ? fillLimit.fill : 1,
    notes,
  });
  report(1, 'done');
  return layout;
}

/** Turns over, in place, the charts whose UVs run against the surface. */
function turnFaceUp(charts: FlatChartLike[], spread: CornerUvs, outlines: ChartOutline[]): void {
  outlines.forEach((outline, i) => {
    if (outline.area >= 0) return;
    const chart = charts[i]!;
    const uvs = Float64Array.from(chart.uvs, (x, k) => (k & 1 ? x : -x));
    charts[i] = { ...chart, uvs };
    for (let k = 0; k < chart.corners.length; k++) spread.uvs[2 * chart.corners[k]!] = uvs[2 * k]!;
    const points = outline.points.map((x, k) => (k & 1 ? x : -x));
    outlines[i] = { ...outline, points, area: -outline.area };
  });
}

function checkUvs({ uvs, corners }: FlatChartLike, chart: number): void {
  let isFine = uvs.length === 2 * corners.length;
  for (let k = 0; k < uvs.length && isFine; k++) isFine = Number.isFinite(uvs[k]!);
  if (!isFine)
    throw new InvalidMeshError(
      'UV_INVALID',
      `arrangeCharts: bad UVs of chart ${chart}, got ${uvs.length} numbers or some not finite, expected ${2 * corners.length} finite numbers`,
      { chart },
    );
}

/** Pieces of the locked charts, in place. @throws UV_INVALID outside the square, OPTION_INVALID for bad charts */
function lockPieces(
  mesh: Mesh,
  charts: readonly FlatChartLike[],
  { charts: chosen, uvs }: LockedCharts,
): (Piece | undefined)[] {
  if (uvs.length !== 2 * mesh.cornerCount)
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `arrangeCharts: bad locked.uvs, got ${uvs.length} numbers, expected ${2 * mesh.cornerCount}`,
    );
  const kept = chosen.map((i): FlatChartLike => {
    const chart = charts[i];
    if (!chart)
      throw new InvalidOptionError(
        'OPTION_INVALID',
        `arrangeCharts: bad locked chart, got ${i}, expected 0 to ${charts.length - 1}`,
        { chart: i },
      );
    const own = Float64Array.from(
      { length: 2 * chart.corners.length },
      (_, k) => uvs[2 * chart.corners[k >> 1]! + (k & 1)]!,
    );
    if (!own.every((x) => x >= 0 && x <= 1))
      throw new InvalidMeshError(
        'UV_INVALID',
        `arrangeCharts: locked chart ${i} leaves the unit square, expected UVs from 0 to 1`,
        { option: 'locked', chart: i },
      );
    return { ...chart, uvs: own };
  });
  const spread = spreadCornerUvs(mesh, kept);
  const pieces: (Piece | undefined)[] = charts.map(() => undefined);
  kept.forEach((chart, k) => {
    const outline = traceOutline(mesh, spread, chart);
    pieces[chosen[k]!] = { ...makePiece(outline, 0, 1).piece, points: outline.points, isLocked: true };
  });
  return pieces;
}

/** The scale at which free charts are as dense as the locked ones together. */
function lockedScale(
  pieces: readonly Piece[],
  sources: readonly PieceSource[],
  locked: ReadonlySet<number>,
): number {
  let kept = 0;
  let flat = 0;
  for (const i of locked) {
    kept += pieces[i]!.area;
    flat += sources[i]!.piece.area;
  }
  return flat > 0 && kept > 0 ? Math.sqrt(kept / flat) : Infinity;
}

/** Mirror images that can be laid over their originals. */
function findStacked(
  charts: readonly FlatChartLike[],
  outlines: readonly ChartOutline[],
  notes: string[],
): Map<number, Reflection> {
  const stacked = new Map<number, Reflection>();
  charts.forEach(({ mirrorOf }, i) => {
    if (mirrorOf === undefined || mirrorOf === i || !outlines[mirrorOf] || stacked.has(mirrorOf)) return;
    const reflection = findReflection(outlines[i]!, outlines[mirrorOf]!);
    if (reflection) stacked.set(i, reflection);
    else notes.push(noteNoImage(i, mirrorOf, 'stacked on it'));
  });
  return stacked;
}

/** Lowers a padding nobody asked for where the charts are too many for it. */
function lowerPadding(options: ResolvedLayoutOptions, count: number, notes: string[]): ResolvedLayoutOptions {
  let { padding } = options;
  if (options.isPaddingGiven || options.tiles > 1) return options;
  while (padding > 0.25 && marginShare(count, (2 * padding) / options.resolution) > MARGIN_LIMIT)
    padding /= 2;
  if (padding === options.padding) return options;
  notes.push(
    `${count} charts leave no room for ${options.padding} px of padding at ${options.resolution} px; it was lowered to ${padding} px`,
  );
  return { ...options, padding };
}

/** The fill at which the chart that spans most of the square touches both its sides. */
function findFillLimit(
  pieces: readonly Piece[],
  members: readonly number[],
  { border }: Margins,
  { rotation }: ResolvedLayoutOptions,
): { fill: number; chart: number } {
  let longest = 0;
  let chart = -1;
  let area = 0;
  for (const i of members) {
    const piece = pieces[i]!;
    area += piece.area;
    if (piece.isLocked) return { fill: 1, chart: -1 };
    const box = 2 * Math.max(piece.halfWidth, piece.halfHeight);
    if (box <= longest) continue;
    const side = rotation === 'free' ? findBoundingAngles(piece).side : box;
    if (side > longest) {
      longest = side;
      chart = i;
    }
  }
  return { fill: Math.min(1, area * ((1 - 2 * border) / longest) ** 2), chart };
}
