import type { BoundingAngles } from './bounding-angles.js';
import { findBoundingAngles } from './bounding-angles.js';
import type { FlatPieces } from './lay-flat.js';
import { layFlat } from './lay-flat.js';
import type { LayoutRotation } from './layout-options.js';
import { OutlineSet } from './outline-set.js';
import type { Margins } from './pack-rows.js';
import { packRows } from './pack-rows.js';
import type { Packing, Piece, Placement } from './piece.js';
import { packRaster } from './raster-packing.js';
import { PackingSearch } from './search-packing.js';
import { simplifyPiece } from './simplify-outline.js';
import { shrinkToFit, tighten } from './tighten.js';

export interface PackOptions {
  readonly rotation: LayoutRotation;
  readonly effort: number;
  /** The packing never grows beyond this scale. */
  readonly maxScale: number;
  /** Asked between starts of the search, with the fill so far and the share of starts that are done. */
  readonly keepGoing: (fill: number, share: number) => boolean;
}

/** More pieces than this are laid row by row in their bounding boxes. */
const ROWS_FROM = 20_000;
/** Cells along the side of the grid that more are packed on: so many for each piece along it, within bounds. */
const CELLS_PER_PIECE = 50;
const LEAST_CELLS = 256;
const MOST_CELLS = 1024;
/** Up to this many pieces are packed by search and tightening. */
const SEARCH_UP_TO = 60;
/** Samples of borders looked up in one round of the search: so many for each piece, and at most. */
const PIECE_BUDGET = 9e5;
const ROUND_BUDGET = 9e6;
const ROUND_BUDGET_MANY = 5e6;
/** Rounds at effort 1, for few pieces and for many. */
const ROUNDS_FEW = 8;
const ROUNDS_MANY = 2;
const MANY = 24;

/**
 * Packs pieces into the unit square at the largest common scale found. The margins of the result are checked
 * exactly. Undefined when the margins leave no room at all. Does not depend on the order of the pieces,
 * but for pieces of one shape.
 */
export function packPieces(
  pieces: readonly Piece[],
  margins: Margins,
  options: PackOptions,
): Packing | undefined {
  const order = orderPieces(pieces);
  const packing = packOrdered(
    order.map((i) => pieces[i]!),
    margins,
    options,
  );
  if (!packing) return undefined;
  const placements = new Array<Placement>(pieces.length);
  order.forEach((i, k) => {
    placements[i] = packing.placements[k]!;
  });
  return { ...packing, placements };
}

function packOrdered(pieces: readonly Piece[], margins: Margins, options: PackOptions): Packing | undefined {
  const { rotation, effort, keepGoing } = options;
  const canTurn = rotation === 'free';
  const hasLocked = pieces.some((p) => p.isLocked);
  const angles = pieces.map((p) => (canTurn ? findBoundingAngles(p) : standing(p)));
  const longest = angles.reduce((most, a, i) => (pieces[i]!.isLocked ? most : Math.max(most, a.side)), 0);
  // A single piece can be what keeps the scale down; there is nothing to be found beyond that.
  const limit = longest > 0 ? (1 - 2 * margins.border) / longest : Infinity;
  const maxScale = Math.min(options.maxScale, limit);
  const area = pieces.reduce((sum, p) => sum + p.area, 0);
  const flat = layFlat(pieces, rotation, angles);
  const rows = hasLocked ? undefined : packRows(flat.pieces, margins);
  let best = rows && flat.restore(rows);
  const keep = (packing: Packing | undefined) => {
    if (packing && packing.scale > (best?.scale ?? 0)) best = packing;
    return best !== undefined && best.scale >= maxScale * (1 - 1e-5);
  };
  if (best && best.scale > maxScale) best = { ...best, scale: maxScale };
  if (keep(best) || (!best && !hasLocked)) return best;
  if (!hasLocked && (pieces.length >= ROWS_FROM || effort === 0)) return best;
  const limits = { canTurn, maxScale };
  const isMany = pieces.length > MANY;
  let tight: Packing | undefined;
  let raster: Packing | undefined;
  if (hasLocked || isMany) {
    raster = packGrid(pieces, margins, { flat, rotation, maxScale });
    if (raster && hasLocked && pieces.length <= SEARCH_UP_TO)
      keep(tighten(pieces, raster, margins, { ...limits, steps: 40, trust: 0.004 }));
    const isDone = keep(raster && shrinkToFit(new OutlineSet(pieces), raster, margins, maxScale));
    if (hasLocked || isDone || pieces.length > SEARCH_UP_TO) return best;
  }
  const steps = isMany ? 25 : 40;
  const search = new PackingSearch(pieces, margins, {
    rotation,
    budget: isMany ? ROUND_BUDGET_MANY : Math.min(ROUND_BUDGET, PIECE_BUDGET * pieces.length),
    maxScale,
  });
  const rounds = Math.ceil(effort * (isMany ? ROUNDS_MANY : ROUNDS_FEW));
  for (let round = 0; round < rounds; round++) {
    const fill = area * (best?.scale ?? 0) ** 2;
    if (round > 0 && !keepGoing(fill, round / rounds)) break;
    // Most rounds go on from the best so far; some start afresh, and the first of many pieces from the raster.
    const isFresh = round === 1 || round % 4 === 0;
    const start = isFresh
      ? { from: round === 0 ? raster : undefined, known: fill }
      : { from: tight, isTight: true };
    const searched = search.run(round + 1, start);
    if (!searched) continue;
    const simple = pieces.map((p) => simplifyPiece(p, 2.5e-4 / searched.scale));
    const found = tighten(simple, searched, margins, { ...limits, steps, trust: 0.004 });
    if (!found || found.scale <= (tight?.scale ?? 0)) continue;
    tight = found;
    const exact =
      tighten(pieces, found, margins, { ...limits, steps: 8, trust: 0.001 }) ??
      shrinkToFit(new OutlineSet(pieces), found, margins, maxScale);
    if (keep(exact)) break;
  }
  return best;
}

/** Packs on a grid: lying flat, with quarter turns, or standing where that is better. */
function packGrid(
  pieces: readonly Piece[],
  margins: Margins,
  { flat, rotation, maxScale }: { flat: FlatPieces; rotation: LayoutRotation; maxScale: number },
): Packing | undefined {
  const perSide = Math.round(CELLS_PER_PIECE * Math.sqrt(pieces.length));
  const cells = Math.min(MOST_CELLS, Math.max(LEAST_CELLS, perSide));
  const options = { cells, maxScale, steps: pieces.length > 1000 ? 5 : 7 };
  if (rotation === 'none') return packRaster(pieces, margins, { ...options, turnCount: 1 });
  const turned = packRaster(flat.pieces, margins, { ...options, turnCount: 4 });
  // More freedom for each piece is not always better for all: of 300 stars, standing ones filled more.
  const standing = packRaster(pieces, margins, {
    ...options,
    turnCount: 1,
    ...(turned && { minScale: turned.scale }),
  });
  return standing ?? (turned && flat.restore(turned));
}

/** Sorts by area, then by shape, so that the numbering of the charts does not matter. */
function orderPieces(pieces: readonly Piece[]): number[] {
  let size = 0;
  for (const p of pieces) size = Math.max(size, p.radius);
  // Rounding keeps noise in the last digits from deciding.
  const round = (x: number) => Math.round((1e6 * x) / (size || 1));
  const keys = pieces.map((p) => {
    let mx = 0;
    let my = 0;
    for (let k = 0; k < p.points.length; k += 2) {
      mx += p.points[k]!;
      my += p.points[k + 1]!;
    }
    const n = Math.max(1, p.points.length / 2);
    return [
      round(p.area / (size || 1)),
      round(p.halfHeight),
      round(p.halfWidth),
      round(mx / n),
      round(my / n),
    ];
  });
  return pieces
    .map((_, i) => i)
    .sort((a, b) => {
      for (let k = 0; k < 5; k++) if (keys[a]![k] !== keys[b]![k]) return keys[b]![k]! - keys[a]![k]!;
      return a - b;
    });
}

/** A piece that may not turn, by its box. */
function standing({ halfWidth, halfHeight }: Piece): BoundingAngles {
  return { rectangle: 0, square: 0, side: 2 * Math.max(halfWidth, halfHeight) };
}
