import type { Mesh } from '../mesh/index.js';
import { appendTo } from '../structures/index.js';
import type { ChartOutline } from './chart-outline.js';
import type { FlatChartLike } from './flat-chart.js';
import type { Layout, LayoutDensity, LayoutTile, PlacedChart } from './layout.js';
import type { ResolvedLayoutOptions } from './layout-options.js';
import { OutlineSet } from './outline-set.js';
import type { PackedTile } from './pack-tiles.js';
import type { Piece, PieceSource, Placement } from './piece.js';
import type { Reflection } from './stack-mirrored.js';
import { tileOffset, udimTile } from './udim.js';

/** A chart's way from its flat UVs to its tile: uv = scale · R(rotation) · (±u, v) + offset. */
export interface ChartPlace {
  /** Index of the tile. */
  readonly tile: number;
  readonly scale: number;
  readonly rotation: number;
  readonly offset: readonly [number, number];
  readonly mirrored: boolean;
}

/** The place of a chart whose piece was packed. */
export function placeOf(source: PieceSource, scale: number, placement: Placement, tile: number): ChartPlace {
  const { angle, size, centre } = source;
  const c = Math.cos(placement.angle) * scale;
  const s = Math.sin(placement.angle) * scale;
  return {
    tile,
    scale: scale * size,
    rotation: angle + placement.angle,
    offset: [placement.x - c * centre[0] + s * centre[1], placement.y - s * centre[0] - c * centre[1]],
    mirrored: false,
  };
}

/** The place of a mirror image laid over its original. */
export function placeOver(original: ChartPlace, { angle, shift }: Reflection, tile: number): ChartPlace {
  const { scale, rotation, offset } = original;
  const c = Math.cos(rotation) * scale;
  const s = Math.sin(rotation) * scale;
  return {
    tile,
    scale,
    rotation: rotation + angle,
    offset: [c * shift[0] - s * shift[1] + offset[0], s * shift[0] + c * shift[1] + offset[1]],
    mirrored: true,
  };
}

/** The turn, scale and shift that best bring a chart's flat UVs to where they were kept (least squares). */
export function fitPlace(chart: FlatChartLike, uvs: ArrayLike<number>): ChartPlace {
  const n = chart.corners.length;
  let px = 0;
  let py = 0;
  let qx = 0;
  let qy = 0;
  for (let k = 0; k < n; k++) {
    px += chart.uvs[2 * k]! / n;
    py += chart.uvs[2 * k + 1]! / n;
    qx += uvs[2 * chart.corners[k]!]! / n;
    qy += uvs[2 * chart.corners[k]! + 1]! / n;
  }
  let real = 0;
  let imaginary = 0;
  let size = 0;
  for (let k = 0; k < n; k++) {
    const x = chart.uvs[2 * k]! - px;
    const y = chart.uvs[2 * k + 1]! - py;
    const u = uvs[2 * chart.corners[k]!]! - qx;
    const v = uvs[2 * chart.corners[k]! + 1]! - qy;
    real += x * u + y * v;
    imaginary += x * v - y * u;
    size += x * x + y * y;
  }
  const a = size > 0 ? real / size : 1;
  const b = size > 0 ? imaginary / size : 0;
  return {
    tile: 0,
    scale: Math.hypot(a, b),
    rotation: Math.atan2(b, a),
    offset: [qx - a * px + b * py, qy - b * px - a * py],
    mirrored: false,
  };
}

export interface LayoutParts {
  readonly mesh: Mesh;
  readonly charts: readonly FlatChartLike[];
  readonly outlines: readonly ChartOutline[];
  /** Undefined for charts without area. */
  readonly places: readonly (ChartPlace | undefined)[];
  readonly pieces: readonly Piece[];
  readonly tiles: readonly PackedTile[];
  readonly options: ResolvedLayoutOptions;
  /** UVs that locked charts keep. */
  readonly lockedUvs: ArrayLike<number> | undefined;
  readonly locked: ReadonlySet<number>;
  readonly fillLimit: number;
  readonly notes: readonly string[];
}

/** Writes the UVs and takes the figures of a finished layout. */
export function placeCharts(parts: LayoutParts): Layout {
  const { mesh, charts, outlines, places, options, tiles, locked, lockedUvs } = parts;
  const { resolution, padding } = options;
  const uvs = new Float64Array(2 * mesh.cornerCount).fill(Number.NaN);
  const chartAreas = new Float64Array(charts.length);
  const placed = charts.map((chart, i): PlacedChart => {
    const margin = padding / resolution / 2;
    const place = places[i] ?? {
      tile: 0,
      scale: 0,
      rotation: 0,
      offset: [margin, margin] as const,
      mirrored: false,
    };
    const isLocked = locked.has(i);
    const [u0, v0] = tileOffset(place.tile);
    const offset = [place.offset[0] + u0, place.offset[1] + v0] as const;
    const c = Math.cos(place.rotation) * place.scale;
    const s = Math.sin(place.rotation) * place.scale;
    const bounds: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
    for (let k = 0; k < chart.corners.length; k++) {
      const corner = chart.corners[k]!;
      const x = place.mirrored ? -chart.uvs[2 * k]! : chart.uvs[2 * k]!;
      const y = chart.uvs[2 * k + 1]!;
      const u = isLocked ? lockedUvs![2 * corner]! : c * x - s * y + offset[0];
      const v = isLocked ? lockedUvs![2 * corner + 1]! : s * x + c * y + offset[1];
      uvs[2 * corner] = u;
      uvs[2 * corner + 1] = v;
      bounds[0] = Math.min(bounds[0], u);
      bounds[1] = Math.min(bounds[1], v);
      bounds[2] = Math.max(bounds[2], u);
      bounds[3] = Math.max(bounds[3], v);
    }
    chartAreas[i] = isLocked
      ? parts.pieces[i]!.area
      : Math.abs(outlines[i]!.area) * place.scale * place.scale;
    const { scale, rotation, mirrored } = place;
    return { tile: udimTile(u0, v0), scale, rotation, offset, bounds, mirrored, locked: isLocked };
  });
  const covered = placed.reduce((sum, chart, i) => sum + (chart.mirrored ? 0 : chartAreas[i]!), 0);
  return {
    uvs,
    charts: placed,
    tiles: listTiles(placed, chartAreas),
    fill: covered / tiles.length,
    fillLimit: parts.fillLimit,
    density: measureDensity(charts, outlines, chartAreas, options),
    resolution,
    padding,
    gutter: 2 * padding,
    gap: measureGap(parts),
    notes: parts.notes,
  };
}

function listTiles(placed: readonly PlacedChart[], areas: Float64Array): LayoutTile[] {
  const members = new Map<number, number[]>();
  placed.forEach(({ tile }, i) => {
    appendTo(members, tile, i);
  });
  return [...members]
    .sort(([a], [b]) => a - b)
    .map(([tile, charts]) => ({ tile, charts, fill: charts.reduce((sum, i) => sum + areas[i]!, 0) }));
}

function measureDensity(
  charts: readonly FlatChartLike[],
  outlines: readonly ChartOutline[],
  areas: Float64Array,
  { resolution, metresPerUnit }: ResolvedLayoutOptions,
): LayoutDensity {
  let least = Infinity;
  let most = 0;
  let covered = 0;
  let surface = 0;
  for (let i = 0; i < charts.length; i++) {
    const surfaceArea = charts[i]!.surfaceArea ?? Math.abs(outlines[i]!.area);
    if (!(surfaceArea > 0 && areas[i]! > 0)) continue;
    const density = resolution * Math.sqrt(areas[i]! / surfaceArea);
    least = Math.min(least, density);
    most = Math.max(most, density);
    covered += areas[i]!;
    surface += surfaceArea;
  }
  const pixelsPerUnit = resolution * Math.sqrt(covered / surface);
  return { pixelsPerUnit, pixelsPerMetre: pixelsPerUnit / metresPerUnit, least, most, spread: most / least };
}

function measureGap({ tiles, pieces, options }: LayoutParts): number {
  const limit = (4 * Math.max(options.padding, 1)) / options.resolution;
  let gap = limit;
  for (const { charts, packing } of tiles) {
    const set = new OutlineSet(charts.map((i) => pieces[i]!));
    set.place(packing);
    gap = Math.min(gap, set.measureGap(gap));
  }
  return gap < limit ? gap * options.resolution : Infinity;
}
