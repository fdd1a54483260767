import type { Margins } from './pack-rows.js';
import type { Packing, Piece, Placement } from './piece.js';
import type { CellSpans } from './scan-outline.js';
import { scanOutline } from './scan-outline.js';

export interface RasterOptions {
  /** 4 tries the quarter turns, 1 keeps the pieces as they stand. */
  readonly turnCount: 1 | 4;
  /** Cells along the square's side, about. */
  readonly cells: number;
  readonly maxScale: number;
  /** Only packings of this scale and more are wanted. */
  readonly minScale?: number;
  /** Halvings of the range of scales. */
  readonly steps: number;
}

/**
 * Packs outlines, largest first, each at the lowest free place (then leftmost) of a grid of bits, holes and
 * hollows included, at the largest scale that a bisection finds. Every cell within the gutter of a cell that
 * an outline touches counts as taken, so the margins hold exactly. Locked pieces are taken first.
 *
 * Undefined when nothing fits.
 */
export function packRaster(
  pieces: readonly Piece[],
  margins: Margins,
  options: RasterOptions,
): Packing | undefined {
  const free = pieces.map((_, i) => i).filter((i) => !pieces[i]!.isLocked);
  free.sort(
    (a, b) =>
      pieces[b]!.halfWidth * pieces[b]!.halfHeight - pieces[a]!.halfWidth * pieces[a]!.halfHeight ||
      pieces[b]!.area - pieces[a]!.area ||
      a - b,
  );
  let total = 0;
  for (const i of free) total += pieces[i]!.area;
  if (!(total > 0)) return undefined;
  let high = Math.min(options.maxScale, Math.sqrt(0.85 / total));
  if (high < (options.minScale ?? 0)) return undefined;
  let best = fillRaster(pieces, free, margins, options, high);
  if (best) return best;
  let low = high;
  const { minScale } = options;
  if (minScale !== undefined) {
    low = minScale;
    high = Math.min(high, low / FALL);
    best = fillRaster(pieces, free, margins, options, low);
  }
  for (let k = 0; k < 24 && !best && minScale === undefined; k++) {
    high = low;
    low *= FALL;
    best = fillRaster(pieces, free, margins, options, low);
  }
  if (!best) return undefined;
  for (let k = 0; k < options.steps; k++) {
    const middle = (low + high) / 2;
    const packing = fillRaster(pieces, free, margins, options, middle);
    if (packing) {
      best = packing;
      low = middle;
    } else high = middle;
  }
  return best;
}

/** Factor on the scale from one that does not fit to the next tried. */
const FALL = 0.8;
/** Kept free beside every margin for what rounding moves; in units of the square's side. */
const ROUNDING = 1e-12;

/** A grid within the border, with cells that divide the gutter evenly where they can. */
function sizeGrid(
  { border, gutter }: Margins,
  wanted: number,
): { origin: number; cells: number; cell: number; reach: number } {
  const origin = border + ROUNDING;
  const room = 1 - 2 * origin;
  const even = (gutter + ROUNDING) / Math.ceil((gutter / room) * wanted);
  // A gutter of much less than a cell would ask for too fine a grid.
  const cell = even >= room / (2 * wanted) ? even : room / wanted;
  const cells = Math.max(1, Math.floor(room / cell));
  let reach = Math.round(gutter / cell);
  if (reach * cell < gutter) reach++;
  return { origin, cells, cell, reach };
}

function fillRaster(
  pieces: readonly Piece[],
  order: readonly number[],
  margins: Margins,
  { turnCount, cells: wanted }: RasterOptions,
  scale: number,
): Packing | undefined {
  const { origin, cells, cell, reach } = sizeGrid(margins, wanted);
  const sheet = new BitSheet(cells);
  const placements: Placement[] = pieces.map(() => ({ x: 0, y: 0, angle: 0 }));
  for (let i = 0; i < pieces.length; i++) {
    if (!pieces[i]!.isLocked) continue;
    sheet.fill(widen(scanTurned(pieces[i]!, 0, 1 / cell, -origin / cell), reach), 0, 0);
  }
  // A shape need not look again below the row where the last one of about its size found room.
  const firstRows = new Map<string, number>();
  for (const i of order) {
    const piece = pieces[i]!;
    let best: { x: number; y: number; top: number; turn: number; shape: CellSpans } | undefined;
    for (let turn = 0; turn < turnCount; turn++) {
      const shape = scanTurned(piece, turn, scale / cell, 0);
      const limit = best ? best.top - shape.rowCount : cells - shape.rowCount;
      const key = sizeClass(piece, turn);
      const place = sheet.find(shape, firstRows.get(key) ?? 0, limit);
      if (place) firstRows.set(key, place.y + shape.firstRow);
      else if (!best) firstRows.set(key, cells);
      const top = place ? place.y + shape.firstRow + shape.rowCount : Infinity;
      if (place && top < (best?.top ?? Infinity)) best = { ...place, top, turn, shape };
    }
    if (!best) return undefined;
    sheet.fill(widen(best.shape, reach), best.x, best.y);
    placements[i] = {
      x: origin + best.x * cell,
      y: origin + best.y * cell,
      angle: (best.turn * Math.PI) / 2,
    };
  }
  return { scale, placements };
}

/** Names the shapes of about the same width and height. */
function sizeClass(piece: Piece, turn: number): string {
  const width = Math.round(8 * Math.log2(piece.halfWidth));
  const height = Math.round(8 * Math.log2(piece.halfHeight));
  return turn & 1 ? `${height} ${width}` : `${width} ${height}`;
}

/** Cells of a piece after a quarter turn, in cells about its centre shifted by `shift`. */
function scanTurned(piece: Piece, turn: number, size: number, shift: number): CellSpans {
  const { points } = piece;
  const turned = new Float64Array(points.length);
  for (let k = 0; k < points.length; k += 2) {
    const x = points[k]! * size;
    const y = points[k + 1]! * size;
    turned[k] = (turn === 0 ? x : turn === 1 ? -y : turn === 2 ? -x : y) + shift;
    turned[k + 1] = (turn === 0 ? y : turn === 1 ? x : turn === 2 ? -y : -x) + shift;
  }
  return scanOutline(turned, piece.loopOffsets, true);
}

/** Widens the cells by a square of the given half side. */
function widen(shape: CellSpans, r: number): CellSpans {
  if (r === 0) return shape;
  const rowCount = shape.rowCount + 2 * r;
  const rowOffsets = new Int32Array(rowCount + 1);
  const spans: number[] = [];
  for (let row = 0; row < rowCount; row++) {
    const near: [number, number][] = [];
    for (let q = Math.max(0, row - 2 * r); q <= Math.min(shape.rowCount - 1, row); q++)
      for (let s = shape.rowOffsets[q]!; s < shape.rowOffsets[q + 1]!; s++)
        near.push([shape.spans[2 * s]! - r, shape.spans[2 * s + 1]! + r]);
    near.sort((a, b) => a[0] - b[0]);
    const begin = spans.length;
    for (const [a, b] of near) {
      if (spans.length > begin && a <= spans[spans.length - 1]! + 1)
        spans[spans.length - 1] = Math.max(spans[spans.length - 1]!, b);
      else spans.push(a, b);
    }
    rowOffsets[row + 1] = spans.length / 2;
  }
  return { firstRow: shape.firstRow - r, rowCount, rowOffsets, spans: Int32Array.from(spans) };
}

/** A square of bits, with every row also smeared to the left by powers of two to test whole spans at once. */
class BitSheet {
  readonly #cells: number;
  readonly #words: number;
  /** Level k, row y: bit x says that any of x .. x + 2^k − 1 is taken. */
  readonly #levels: Uint32Array[] = [];
  readonly #blocked: Uint32Array;

  constructor(cells: number) {
    this.#cells = cells;
    this.#words = Math.ceil(cells / 32) + 1;
    for (let k = 0; 1 << k <= cells; k++) this.#levels.push(new Uint32Array(this.#words * cells));
    this.#blocked = new Uint32Array(this.#words);
  }

  /** Takes the cells of a shape whose origin is put on cell (x, y). */
  fill(shape: CellSpans, x: number, y: number): void {
    for (let r = 0; r < shape.rowCount; r++) {
      const row = y + shape.firstRow + r;
      if (row < 0 || row >= this.#cells) continue;
      const base = row * this.#words;
      const bits = this.#levels[0]!;
      for (let s = shape.rowOffsets[r]!; s < shape.rowOffsets[r + 1]!; s++) {
        const a = Math.max(0, x + shape.spans[2 * s]!);
        const b = Math.min(this.#cells - 1, x + shape.spans[2 * s + 1]!);
        for (let w = a >> 5; w <= b >> 5; w++) {
          const low = Math.max(a - (w << 5), 0);
          const high = Math.min(b - (w << 5), 31);
          if (high >= low) bits[base + w]! |= (0xffffffff >>> (31 - high)) & (0xffffffff << low);
        }
      }
      for (let k = 0; k + 1 < this.#levels.length; k++) {
        const from = this.#levels[k]!;
        const to = this.#levels[k + 1]!;
        const step = 1 << k;
        for (let w = 0; w < this.#words; w++)
          to[base + w] = from[base + w]! | this.#shifted(from, base, w, step);
      }
    }
  }

  /** Word w of a row shifted so that bit x holds bit x + by. */
  #shifted(bits: Uint32Array, base: number, w: number, by: number): number {
    const s = w + (by >> 5);
    const r = by & 31;
    if (s >= this.#words) return 0;
    const low = bits[base + s]!;
    if (r === 0) return low;
    const high = s + 1 < this.#words ? bits[base + s + 1]! : 0;
    return (low >>> r) | (high << (32 - r));
  }

  /** Lowest, then leftmost, place of the shape's origin whose box's bottom row is from `from` to `limit`. */
  find(shape: CellSpans, from: number, limit: number): { x: number; y: number } | undefined {
    let x0 = Infinity;
    let x1 = -Infinity;
    for (let k = 0; k < shape.spans.length; k += 2) {
      x0 = Math.min(x0, shape.spans[k]!);
      x1 = Math.max(x1, shape.spans[k + 1]!);
    }
    const positions = this.#cells - (x1 - x0);
    if (!(positions > 0)) return undefined;
    const words = (positions + 31) >> 5;
    const last = positions & 31;
    const blocked = this.#blocked;
    for (let y = from; y <= limit; y++) {
      blocked.fill(0, 0, words);
      if (last !== 0) blocked[words - 1] = 0xffffffff << last;
      let isOpen = true;
      for (let r = 0; r < shape.rowCount && isOpen; r++) {
        const base = (y + r) * this.#words;
        isOpen = false;
        for (let s = shape.rowOffsets[r]!; s < shape.rowOffsets[r + 1]!; s++) {
          const a = shape.spans[2 * s]! - x0;
          const length = shape.spans[2 * s + 1]! - x0 - a + 1;
          const k = 31 - Math.clz32(length);
          const bits = this.#levels[k]!;
          const b = a + length - (1 << k);
          for (let w = 0; w < words; w++)
            blocked[w]! |= this.#shifted(bits, base, w, a) | this.#shifted(bits, base, w, b);
        }
        for (let w = 0; w < words && !isOpen; w++) isOpen = blocked[w] !== 0xffffffff;
      }
      if (!isOpen) continue;
      for (let w = 0; w < words; w++) {
        if (blocked[w] === 0xffffffff) continue;
        const bit = 31 - Math.clz32(~blocked[w]! & -~blocked[w]!);
        return { x: 32 * w + bit - x0, y: y - shape.firstRow };
      }
    }
    return undefined;
  }
}
