import { OutlineSet } from './outline-set.js';
import type { Margins } from './pack-rows.js';
import { packRows } from './pack-rows.js';
import type { Packing, Piece } from './piece.js';
import { searchPackings } from './search-packing.js';
import { simplifyPiece } from './simplify-outline.js';
import { shrinkToFit, tighten } from './tighten.js';

export interface PackOptions {
  /** Number of turns tried in the search: 1 none, 4 quarters, more for any angle. */
  readonly turnCount: number;
  readonly effort: number;
  readonly maxScale: number;
}

/**
 * Packs pieces into the unit square at the largest common scale found. The margins of the result are checked
 * exactly. Undefined when the margins leave no room at all.
 */
export function packPieces(pieces: readonly Piece[], margins: Margins, options: PackOptions): Packing | undefined {
  const rows = packRows(pieces, margins);
  if (!rows || pieces.length > 60 || options.effort === 0) return rows;
  const canTurn = options.turnCount > 4;
  const total = pieces.reduce((sum, p) => sum + p.area, 0);
  if (!(total > 0)) return rows;
  const candidates = searchPackings(pieces, margins, { turnCount: options.turnCount, budget: 2e6 * options.effort, seed: 1, starts: 5 });
  const limits = { canTurn, maxScale: options.maxScale };
  let tight: Packing | undefined;
  for (const candidate of candidates) {
    const simple = pieces.map((p) => simplifyPiece(p, 2.5e-4 / candidate.scale));
    const packing = tighten(simple, candidate, margins, { ...limits, steps: 30 });
    if (packing && packing.scale > (tight?.scale ?? 0)) tight = packing;
  }
  if (!tight) return rows;
  const exact = tighten(pieces, tight, margins, { ...limits, steps: 6 }) ?? shrinkToFit(new OutlineSet(pieces), tight, margins, options.maxScale);
  return exact && exact.scale > rows.scale ? exact : rows;
}
