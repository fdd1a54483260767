import type { Packing, Piece } from './piece.js';

/** Free border along the square's edge and distance between pieces, in units of the square's side. */
export interface Margins {
  readonly border: number;
  readonly gutter: number;
}

/**
 * Packs bounding boxes in rows, the tallest first, at the largest scale that a bisection finds.
 * Returns undefined when the margins alone fill the square.
 */
export function packRows(pieces: readonly Piece[], margins: Margins): Packing | undefined {
  const order = pieces.map((_, i) => i);
  order.sort((a, b) => pieces[b]!.halfHeight - pieces[a]!.halfHeight || a - b);
  let widest = 0;
  for (const p of pieces) widest = Math.max(widest, p.halfWidth, p.halfHeight);
  let low = 0;
  let high = (1 - 2 * margins.border) / (2 * widest || 1);
  let best = fillRows(pieces, order, margins, low);
  if (!best) return undefined;
  for (let step = 0; step < 40; step++) {
    const middle = (low + high) / 2;
    const packing = fillRows(pieces, order, margins, middle);
    if (packing) {
      best = packing;
      low = middle;
    } else high = middle;
  }
  return best;
}

function fillRows(
  pieces: readonly Piece[],
  order: readonly number[],
  { border, gutter }: Margins,
  scale: number,
): Packing | undefined {
  const placements = new Array<{ x: number; y: number; angle: number }>(pieces.length);
  const end = 1 - border;
  let x = border;
  let y = border;
  let rowHeight = 0;
  for (const i of order) {
    const width = 2 * scale * pieces[i]!.halfWidth;
    const height = 2 * scale * pieces[i]!.halfHeight;
    if (x > border && x + width > end) {
      x = border;
      y += rowHeight + gutter;
      rowHeight = 0;
    }
    if (x + width > end || y + height > end) return undefined;
    placements[i] = { x: x + width / 2, y: y + height / 2, angle: 0 };
    rowHeight = Math.max(rowHeight, height);
    x += width + gutter;
  }
  return { scale, placements };
}
