import { LimitError } from '../errors.js';
import { balanceTiles, EXPECTED_FILL, groupByPart, takeTile } from './assign-tiles.js';
import type { FlatChartLike } from './flat-chart.js';
import type { LayoutRotation, ResolvedLayoutOptions } from './layout-options.js';
import { packPieces } from './pack-pieces.js';
import type { Margins } from './pack-rows.js';
import type { Packing, Piece } from './piece.js';

/** Charts on one tile, and how they are packed there; placements are in the order of `charts`. */
export interface PackedTile {
  readonly charts: readonly number[];
  readonly packing: Packing;
}

export interface TileJob {
  readonly charts: readonly FlatChartLike[];
  readonly pieces: readonly Piece[];
  /** The charts to place. */
  readonly members: readonly number[];
  readonly margins: Margins;
  readonly options: ResolvedLayoutOptions;
  /** The scale is never larger than this. */
  readonly maxScale: number;
  readonly keepGoing: (fill: number, share: number) => boolean;
}

/** Upright charts are kept when turning them freely would fill less than this factor more. */
const UPRIGHT_WORTH = 1.02;
/** Effort for the upright packing that free turning is held against. */
const UPRIGHT_EFFORT = 0.125;
/** More charts than this are turned freely at once: nobody reads their sheet by heart. */
const UPRIGHT_UP_TO = 24;

/**
 * Packs charts onto tiles at one common scale.
 *
 * @throws LAYOUT_IMPOSSIBLE when the margins leave no room, or the density needs more tiles than allowed
 */
export function packTiles(job: TileJob): PackedTile[] {
  const { options } = job;
  const asked = options.pixelsPerUnit / options.resolution;
  if (asked <= job.maxScale && asked < Infinity) return packAtDensity(job, asked);
  if (options.tiles === 1) return [packOne(job, job.members, job.maxScale)];
  const loads = findLoads(job, 1 / Math.sqrt(job.members.reduce((sum, i) => sum + job.pieces[i]!.area, 0)));
  const tiles = balanceTiles(groupByPart(job.charts, job.members), loads, options.tiles);
  const packed = tiles.map((members) => packOne(job, members, Infinity));
  const scale = Math.min(...packed.map((tile) => tile.packing.scale));
  return packed.map((tile) =>
    tile.packing.scale > scale * (1 + 1e-9) ? packOne(job, tile.charts, scale) : tile,
  );
}

/** Fills tile after tile at a given scale. */
function packAtDensity(job: TileJob, scale: number): PackedTile[] {
  const loads = findLoads(job, scale);
  const packed: PackedTile[] = [];
  let groups = groupByPart(job.charts, job.members);
  while (groups.length > 0) {
    const { tile, rest } = takeTile(groups, loads);
    if (packed.length === job.options.tiles) throw tooDense(job, scale);
    for (;;) {
      const members = tile.flat().sort((a, b) => a - b);
      const result = packOne(job, members, scale);
      if (result.packing.scale >= scale * (1 - 1e-6)) {
        packed.push({
          ...result,
          packing: { ...result.packing, scale: Math.min(scale, result.packing.scale) },
        });
        break;
      }
      if (members.length === 1) throw tooDense(job, scale, members[0]!, result.packing.scale);
      // The lightest group goes to a later tile; a group alone on its tile gives up its last chart.
      const last = tile.pop()!;
      if (tile.length > 0) rest.push(last);
      else {
        tile.push(last.slice(0, -1));
        rest.push(last.slice(-1));
      }
    }
    groups = rest;
  }
  return packed;
}

function tooDense(job: TileJob, scale: number, chart = -1, most = 0): LimitError {
  const { metresPerUnit, resolution, tiles } = job.options;
  const asked = (scale * resolution) / metresPerUnit;
  const why =
    chart >= 0
      ? `chart ${chart} alone fits a tile of ${resolution} px at ${((most * resolution) / metresPerUnit).toFixed(1)} px per metre at most`
      : `the charts need more than ${tiles} tiles of ${resolution} px`;
  return new LimitError(
    'LAYOUT_IMPOSSIBLE',
    `arrangeCharts: density too high, got ${asked} px per metre, but ${why}`,
    { density: asked, chart, tiles },
  );
}

/** Share of a tile that each chart with its padding takes at a scale. */
function findLoads({ pieces, margins }: TileJob, scale: number): Float64Array {
  return Float64Array.from(
    pieces,
    (p) =>
      p.area * scale * scale +
      (p.halfWidth + p.halfHeight) * 2 * scale * margins.gutter +
      margins.gutter * margins.gutter,
  );
}

function packOne(job: TileJob, members: readonly number[], maxScale: number): PackedTile {
  const { margins, options } = job;
  const pieces = members.map((i) => job.pieces[i]!);
  const packing = packTurned(pieces, margins, options.rotation, options.effort, maxScale, job.keepGoing);
  if (packing && packing.scale > 0) return { charts: members, packing };
  throw new LimitError(
    'LAYOUT_IMPOSSIBLE',
    `arrangeCharts: no room, got ${members.length} charts with ${options.padding} px of padding on ${options.resolution} px, expected fewer charts, less padding or more pixels`,
    { charts: members.length, padding: options.padding, resolution: options.resolution },
  );
}

function packTurned(
  pieces: readonly Piece[],
  margins: Margins,
  rotation: LayoutRotation,
  effort: number,
  maxScale: number,
  keepGoing: (fill: number, share: number) => boolean,
): Packing | undefined {
  const limits = { effort, maxScale, keepGoing };
  if (rotation !== 'free') return packPieces(pieces, margins, { ...limits, rotation });
  const free = () => packPieces(pieces, margins, { ...limits, rotation });
  if (pieces.length > UPRIGHT_UP_TO) return free();
  // As long a look whatever the effort, or more effort could turn the choice and pack more loosely.
  const upright = packPieces(pieces, margins, {
    ...limits,
    rotation: 'none',
    effort: effort > 0 ? UPRIGHT_EFFORT : 0,
  });
  if (!upright || upright.scale >= maxScale * (1 - 1e-6)) return upright;
  const turned = free();
  return turned && turned.scale > upright.scale * Math.sqrt(UPRIGHT_WORTH) ? turned : upright;
}

/** Share of the square that the margins of so many charts take, at the fill expected. */
export function marginShare(count: number, gutter: number): number {
  return (count * gutter * gutter) / EXPECTED_FILL;
}
