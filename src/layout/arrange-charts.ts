import { LimitError } from '../errors.js';
import type { Mesh } from '../mesh/index.js';
import { spreadCornerUvs, traceOutline } from './chart-outline.js';
import type { FlatChartLike, FlatSetLike } from './flat-chart.js';
import type { Layout, LayoutTile, PlacedChart } from './layout.js';
import type { LayoutOptions } from './layout-options.js';
import { resolveLayoutOptions } from './layout-options.js';
import { packPieces } from './pack-pieces.js';
import { OutlineSet } from './outline-set.js';
import type { Packing, Piece } from './piece.js';
import { makePiece } from './piece.js';

/**
 * Arranges flattened charts on the unit square at one even texel density.
 *
 * @throws OPTION_INVALID for bad options, LAYOUT_IMPOSSIBLE when the margins leave no room
 */
export function arrangeCharts(mesh: Mesh, flat: FlatSetLike, options: LayoutOptions = {}): Layout {
  const { resolution, padding, rotation, effort } = resolveLayoutOptions(options);
  const spread = spreadCornerUvs(mesh, flat.charts);
  const sources = flat.charts.map((chart) => makePiece(traceOutline(mesh, spread, chart), 0, 1));
  const pieces = sources.map((s) => s.piece);
  const packing = packPieces(
    pieces,
    { border: padding / resolution, gutter: ((2 * padding) / resolution) * (1 + 1e-9) },
    { turnCount: rotation === 'free' ? 32 : rotation === 'quarter' ? 4 : 1, effort, maxScale: Infinity },
  );
  if (!packing)
    throw new LimitError('LAYOUT_IMPOSSIBLE', `arrangeCharts: ${flat.charts.length} charts with ${padding} px of padding do not fit ${resolution} px, expected fewer charts, less padding or more pixels`, { charts: flat.charts.length, padding, resolution });
  const { scale } = packing;
  const uvs = new Float64Array(2 * mesh.cornerCount).fill(Number.NaN);
  let covered = 0;
  let least = Infinity;
  let most = 0;
  let surface = 0;
  const charts: PlacedChart[] = flat.charts.map((chart, i) => {
    const { piece, angle, size, centre } = sources[i]!;
    const place = packing.placements[i]!;
    const turn = angle + place.angle;
    const factor = scale * size;
    const cos = Math.cos(turn) * factor;
    const sin = Math.sin(turn) * factor;
    const c = Math.cos(place.angle) * scale;
    const s = Math.sin(place.angle) * scale;
    const offset = [place.x - c * centre[0] + s * centre[1], place.y - s * centre[0] - c * centre[1]] as const;
    const bounds: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
    for (let k = 0; k < chart.corners.length; k++) {
      const corner = chart.corners[k]!;
      const u = cos * chart.uvs[2 * k]! - sin * chart.uvs[2 * k + 1]! + offset[0];
      const v = sin * chart.uvs[2 * k]! + cos * chart.uvs[2 * k + 1]! + offset[1];
      uvs[2 * corner] = u;
      uvs[2 * corner + 1] = v;
      bounds[0] = Math.min(bounds[0], u);
      bounds[1] = Math.min(bounds[1], v);
      bounds[2] = Math.max(bounds[2], u);
      bounds[3] = Math.max(bounds[3], v);
    }
    const area = piece.area * scale * scale;
    const surfaceArea = surfaceAreaOf(chart, piece.area / (size * size));
    covered += area;
    surface += surfaceArea;
    if (surfaceArea > 0) {
      const density = resolution * Math.sqrt(area / surfaceArea);
      least = Math.min(least, density);
      most = Math.max(most, density);
    }
    return { tile: 1001, scale: factor, rotation: turn, offset, bounds, mirrored: false };
  });
  const tiles: LayoutTile[] = [{ tile: 1001, charts: charts.map((_, i) => i), fill: covered }];
  const pixelsPerUnit = resolution * Math.sqrt(covered / surface);
  return {
    uvs,
    charts,
    tiles,
    fill: covered,
    density: { pixelsPerUnit, least, most, spread: most / least },
    resolution,
    padding,
    gutter: 2 * padding,
    gap: measureGap(pieces, packing, (4 * padding) / resolution) * resolution,
    notes: [],
  };
}

function surfaceAreaOf(chart: FlatChartLike, uvArea: number): number {
  return chart.surfaceArea ?? uvArea;
}

function measureGap(pieces: readonly Piece[], packing: Packing, limit: number): number {
  const set = new OutlineSet(pieces);
  set.place(packing);
  return set.measureGap(limit);
}
