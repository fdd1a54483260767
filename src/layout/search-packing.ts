import type { Poses } from './overlap-search.js';
import { OverlapSearch } from './overlap-search.js';
import type { Margins } from './pack-rows.js';
import type { Packing, Piece } from './piece.js';
import { RandomSource } from './random-source.js';
import { simplifyPiece } from './simplify-outline.js';

export interface SearchOptions {
  /** Turns tried: the full circle in this many steps. */
  readonly turnCount: number;
  /** Pairs of pieces that may be weighed per start. */
  readonly budget: number;
  /** Largest scale wanted; the search ends there. */
  readonly maxScale: number;
}

/** Side of a grid cell: the pieces together cover the square of this many cells. */
const CELLS = 128;
/** Fill at which a start begins, and up to which it grows in large steps. */
const FIRST_FILL = 0.5;
const COARSE_FILL = 0.62;
/** Passes over the pieces before a side is given up. */
const PASSES = 200;
const FAILS_PER_EXCHANGE = 4;

/**
 * Looks for tight packings from random starts. Pieces may overlap while the search moves them, one at a time,
 * to where they overlap least; when all are apart the square shrinks a little. The packings found may break
 * their margins by a fraction of a cell: tighten them.
 */
export class PackingSearch {
  readonly #pieces: readonly Piece[];
  readonly #options: SearchOptions;
  readonly #search: OverlapSearch;
  readonly #perUnit: number;

  constructor(pieces: readonly Piece[], margins: Margins, options: SearchOptions) {
    this.#pieces = pieces;
    this.#options = options;
    const total = pieces.reduce((sum, p) => sum + p.area, 0);
    this.#perUnit = CELLS / Math.sqrt(total);
    const small = pieces.map((p) => {
      const { points, loopOffsets } = simplifyPiece(p, 0.25 / this.#perUnit);
      return { points: points.map((x) => x * this.#perUnit), loopOffsets };
    });
    this.#search = new OverlapSearch(small, {
      turnCount: options.turnCount,
      border: margins.border,
      gutter: margins.gutter,
      maxSide: CELLS / Math.sqrt(0.3),
    });
  }

  /**
   * The best packing of one start; the same seed gives the same packing. Starts from the pieces as they stand
   * at the given places and scale, or scattered.
   */
  run(seed: number, from?: Packing): Packing | undefined {
    const search = this.#search;
    const random = new RandomSource(seed);
    search.random = random;
    const until = search.pairCount + this.#options.budget;
    const leastSide = this.#perUnit / this.#options.maxScale;
    let side = Math.max(leastSide, CELLS / Math.sqrt(FIRST_FILL));
    if (from) {
      side = Math.max(leastSide, 0.997 * (this.#perUnit / from.scale));
      from.placements.forEach(({ x, y }, i) => {
        search.turns[i] = 0;
        search.xs[i] = x * side;
        search.ys[i] = y * side;
      });
      search.setSide(side);
    } else {
      search.setSide(side);
      search.scatter();
    }
    let best: Poses | undefined;
    let bestSide = Infinity;
    let fails = 0;
    for (let round = 0; search.pairCount < until && round < 1000; round++) {
      if (search.setSide(side, bestSide) && search.separate(PASSES, 0.3)) {
        best = search.poses();
        bestSide = side;
        if (side <= leastSide) break;
        side = Math.max(leastSide, side * (CELLS / side < Math.sqrt(COARSE_FILL) ? 0.985 : 0.995));
        fails = 0;
      } else if (!best && from) {
        side *= 1.004;
        if (++fails > 8) return undefined;
      } else if (!best) {
        side *= 1.05;
        search.setSide(side);
        search.scatter();
      } else if (!search.setSide(side)) {
        // A single piece fills the square.
        break;
      } else if (++fails % FAILS_PER_EXCHANGE === 0) {
        search.setPoses(best);
        disrupt(search, this.#pieces, random);
      }
    }
    if (!best) return undefined;
    const { xs, ys, turns } = best;
    return {
      scale: this.#perUnit / bestSide,
      placements: this.#pieces.map((_, i) => ({
        x: xs[i]! / bestSide,
        y: ys[i]! / bestSide,
        angle: (turns[i]! * 2 * Math.PI) / this.#options.turnCount,
      })),
    };
  }
}

/** Exchanges two of the larger pieces. */
function disrupt(search: OverlapSearch, pieces: readonly Piece[], random: RandomSource): void {
  const order = pieces.map((_, i) => i).sort((a, b) => pieces[b]!.area - pieces[a]!.area || a - b);
  const large = Math.max(2, Math.ceil(order.length * 0.6));
  const a = order[random.below(large)]!;
  let b = order[random.below(large)]!;
  if (a === b) b = order[(order.indexOf(a) + 1) % order.length]!;
  const { xs, ys } = search;
  [xs[a], xs[b]] = [xs[b]!, xs[a]!];
  [ys[a], ys[b]] = [ys[b]!, ys[a]!];
}
