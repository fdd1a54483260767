import { OutlineSet } from './outline-set.js';
import type { Margins } from './pack-rows.js';
import { packRows } from './pack-rows.js';
import type { Packing, Piece } from './piece.js';
import { packRaster } from './raster-packing.js';
import { PackingSearch } from './search-packing.js';
import { simplifyPiece } from './simplify-outline.js';
import { shrinkToFit, tighten } from './tighten.js';

export interface PackOptions {
  /** Number of turns tried in the search: 1 none, 4 quarters, more for any angle. */
  readonly turnCount: number;
  readonly effort: number;
  /** The packing never grows beyond this scale. */
  readonly maxScale: number;
}

/** More pieces than this are laid row by row in their bounding boxes. */
const ROWS_FROM = 20_000;
/** Up to this many pieces are packed by search and tightening. */
const SEARCH_UP_TO = 60;
/** Pairs of pieces weighed in one start of the search. */
const START_BUDGET = 8e6;
/** Starts at effort 1, for few pieces and for many. */
const STARTS_FEW = 3;
const STARTS_MANY = 1;
const MANY = 24;

/**
 * Packs pieces into the unit square at the largest common scale found. The margins of the result are checked
 * exactly. Undefined when the margins leave no room at all.
 */
export function packPieces(pieces: readonly Piece[], margins: Margins, options: PackOptions): Packing | undefined {
  const { maxScale, turnCount, effort } = options;
  let best = packRows(pieces, margins);
  const keep = (packing: Packing | undefined) => {
    if (packing && packing.scale > (best?.scale ?? 0)) best = packing;
    return best !== undefined && best.scale >= maxScale * (1 - 1e-9);
  };
  if (best && best.scale > maxScale) best = { ...best, scale: maxScale };
  if (!best || keep(best) || pieces.length >= ROWS_FROM || effort === 0 || pieces.length === 0) return best;
  if (pieces.length > SEARCH_UP_TO) {
    const cells = pieces.length > 400 ? 1024 : 512;
    const steps = pieces.length > 1000 ? 5 : 7;
    const raster = packRaster(pieces, margins, { turnCount: turnCount > 1 ? 4 : 1, cells, maxScale, steps });
    keep(raster && shrinkToFit(new OutlineSet(pieces), raster, margins, maxScale));
    return best;
  }
  if (!pieces.some((p) => p.area > 0)) return best;
  const limits = { canTurn: turnCount > 4, maxScale };
  const search = new PackingSearch(pieces, margins, { turnCount, budget: START_BUDGET, maxScale });
  const starts = pieces.length <= MANY ? STARTS_FEW : STARTS_MANY;
  let tightest = 0;
  for (let start = 0; start < Math.ceil(starts * effort); start++) {
    const found = search.run(start + 1);
    if (!found) continue;
    const simple = pieces.map((p) => simplifyPiece(p, 2.5e-4 / found.scale));
    const tight = tighten(simple, found, margins, { ...limits, steps: 40, trust: 0.004 });
    if (!tight || tight.scale <= tightest) continue;
    tightest = tight.scale;
    const exact =
      tighten(pieces, tight, margins, { ...limits, steps: 8, trust: 0.001 }) ??
      shrinkToFit(new OutlineSet(pieces), tight, margins, maxScale);
    if (keep(exact)) break;
  }
  return best;
}
