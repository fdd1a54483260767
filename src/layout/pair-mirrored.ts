import { LimitError } from '../errors.js';
import type { ChartOutline } from './chart-outline.js';
import type { FlatChartLike } from './flat-chart.js';
import { DIAGONAL } from './half-overlap.js';
import type { LayoutRotation } from './layout-options.js';
import type { PackedTile, TileJob } from './pack-tiles.js';
import { packTiles } from './pack-tiles.js';
import type { Packing, Piece, PieceSource, Placement } from './piece.js';
import { makePiece } from './piece.js';
import { findReflection, noteNoImage } from './stack-mirrored.js';

/** A chart and its mirror image, to be laid side by side. */
export interface MirroredPair {
  readonly original: number;
  readonly image: number;
  /** Turn that makes the image's piece the mirror image of the original's, left and right exchanged. */
  readonly turn: number;
}

/** Two pieces as one. */
interface JoinedPiece {
  readonly piece: Piece;
  /** Where the original and the image lie in it. */
  readonly places: readonly [Placement, Placement];
}

/** Angles between two turns of a pair that are tried. */
const TURN_STEP = Math.PI / 12;
/** A pair stays upright when another turn saves less than this share of its box. */
const UPRIGHT_WORTH = 0.1;
/** Effort of the packing that tells the scale, and with it how far apart a pair has to be drawn. */
const SCOUT_EFFORT = 0.125;
/** The pair is drawn for a scale lower by this share, so that the packing may come out a little smaller. */
const RESERVE = 0.01;
const ATTEMPTS = 6;

/** Mirror images among the members that can be laid beside their originals; others are noted. */
export function findMirroredPairs(
  charts: readonly FlatChartLike[],
  outlines: readonly ChartOutline[],
  sources: readonly PieceSource[],
  { members, rotation, notes }: { members: readonly number[]; rotation: LayoutRotation; notes: string[] },
): MirroredPair[] {
  if (members.every((i) => charts[i]!.mirrorOf === undefined))
    notes.push('no chart has a mirror image to lay beside it');
  const pairs: MirroredPair[] = [];
  const free = new Set(members);
  for (const image of members) {
    const original = charts[image]!.mirrorOf;
    if (original === undefined || original === image || !free.has(original) || !free.has(image)) continue;
    const reflection = findReflection(outlines[image]!, outlines[original]!);
    const [a, b] = [sources[original]!, sources[image]!];
    const turn = reflection ? -(a.angle + reflection.angle + b.angle) : Number.NaN;
    const isStraight = rotation === 'free' || Math.abs(Math.sin(turn / 2)) < 1e-9;
    const isAlike = Math.abs(a.size / b.size - 1) < 1e-9;
    if (!reflection || !isStraight || !isAlike) {
      notes.push(noteNoImage(image, original, 'laid beside it'));
      continue;
    }
    pairs.push({ original, image, turn: rotation === 'free' ? turn : 0 });
    free.delete(original);
    free.delete(image);
  }
  return pairs;
}

/**
 * Packs with mirror images side by side: each pair is one piece, with the gutter between its halves. How wide that
 * is on the model depends on the scale that comes out, so a quick packing goes before.
 *
 * @throws as packTiles
 */
export function packPairs(job: TileJob, pairs: readonly MirroredPair[], notes: string[]): PackedTile[] {
  if (pairs.length === 0) return packTiles(job);
  const { options, margins } = job;
  const asked = options.pixelsPerUnit / options.resolution;
  const scout = packTiles({
    ...job,
    options: { ...options, effort: Math.min(SCOUT_EFFORT, options.effort) },
  });
  let scale = Math.min(asked, findScale(scout)) * (1 - RESERVE);
  for (let attempt = 0; attempt < ATTEMPTS; attempt++) {
    // Texels see halves that lie aslant nearer to one another.
    const gap = (margins.gutter * (options.rotation === 'free' ? DIAGONAL : 1)) / scale;
    const joined = pairs.map(({ original, image, turn }) =>
      joinPair(job.pieces[original]!, job.pieces[image]!, { turn, gap, rotation: options.rotation }),
    );
    const tiles = tryPacking(replacePairs(job, pairs, joined));
    if (!tiles) break;
    const found = findScale(tiles);
    if (found >= scale)
      return tiles.map((tile) => partPairs(tile, pairs, { joined, count: job.pieces.length }));
    scale = found * (1 - RESERVE);
  }
  notes.push('mirror images find no room side by side and were packed apart');
  return packTiles(job);
}

/** Undefined where there is no room. */
function tryPacking(job: TileJob): PackedTile[] | undefined {
  try {
    return packTiles(job);
  } catch (error) {
    if (error instanceof LimitError && error.code === 'LAYOUT_IMPOSSIBLE') return undefined;
    throw error;
  }
}

const findScale = (tiles: readonly PackedTile[]): number =>
  Math.min(...tiles.map(({ packing }) => packing.scale));

/** The same job with each pair in place of its two charts, numbered after all charts. */
function replacePairs(job: TileJob, pairs: readonly MirroredPair[], joined: readonly JoinedPiece[]): TileJob {
  const isPaired = new Set(pairs.flatMap(({ original, image }) => [original, image]));
  return {
    ...job,
    charts: [
      ...job.charts,
      ...pairs.map(({ original }) => ({ ...job.charts[original]!, mirrorOf: undefined })),
    ],
    pieces: [...job.pieces, ...joined.map(({ piece }) => piece)],
    members: [...job.members.filter((i) => !isPaired.has(i)), ...pairs.map((_, k) => job.pieces.length + k)],
  };
}

/** The tile with the two charts of each pair where they lie in it. */
function partPairs(
  { charts, packing }: PackedTile,
  pairs: readonly MirroredPair[],
  { joined, count }: { joined: readonly JoinedPiece[]; count: number },
): PackedTile {
  const placed: [number, Placement][] = charts.flatMap((i, k): [number, Placement][] => {
    const placement = packing.placements[k]!;
    if (i < count) return [[i, placement]];
    const { original, image } = pairs[i - count]!;
    const [a, b] = joined[i - count]!.places;
    return [
      [original, placeWithin(packing, placement, a)],
      [image, placeWithin(packing, placement, b)],
    ];
  });
  placed.sort(([a], [b]) => a - b);
  return {
    charts: placed.map(([i]) => i),
    packing: { ...packing, placements: placed.map(([, placement]) => placement) },
  };
}

function placeWithin({ scale }: Packing, outer: Placement, inner: Placement): Placement {
  const c = Math.cos(outer.angle) * scale;
  const s = Math.sin(outer.angle) * scale;
  return {
    x: outer.x + c * inner.x - s * inner.y,
    y: outer.y + s * inner.x + c * inner.y,
    angle: outer.angle + inner.angle,
  };
}

/** Lays two mirror images on both sides of a line, turned so that they take the smallest box. */
function joinPair(
  original: Piece,
  image: Piece,
  { turn, gap, rotation }: { turn: number; gap: number; rotation: LayoutRotation },
): JoinedPiece {
  const step = rotation === 'free' ? TURN_STEP : rotation === 'quarter' ? Math.PI / 2 : 2 * Math.PI;
  let angle = 0;
  let least = Infinity;
  for (let k = 0; k * step < 2 * Math.PI - 1e-9; k++) {
    const { halfWidth, halfHeight } = makePiece(original, k * step, 1).piece;
    const size = (4 * halfWidth + gap) * halfHeight * (k === 0 ? 1 - UPRIGHT_WORTH : 1);
    if (size >= least) continue;
    least = size;
    angle = k * step;
  }
  const [left, right] = [makePiece(original, angle, 1), makePiece(image, turn - angle, 1)];
  const shifts = [-(left.piece.halfWidth + gap / 2), right.piece.halfWidth + gap / 2] as const;
  const points = [left, right].flatMap(({ piece }, side) =>
    [...piece.points].map((value, k) => (k & 1 ? value : value + shifts[side]!)),
  );
  const count = original.points.length / 2;
  const loopOffsets = [...original.loopOffsets, ...[...image.loopOffsets].slice(1).map((at) => count + at)];
  const joined = makePiece(
    {
      points: Float64Array.from(points),
      loopOffsets: Int32Array.from(loopOffsets),
      area: original.area + image.area,
    },
    0,
    1,
  );
  const placeIn = (side: 0 | 1, { centre }: PieceSource, own: number): Placement => ({
    x: shifts[side] - centre[0] - joined.centre[0],
    y: -centre[1] - joined.centre[1],
    angle: own,
  });
  return { piece: joined.piece, places: [placeIn(0, left, angle), placeIn(1, right, turn - angle)] };
}
