import { findBoundingAngles } from './bounding-angles.js';
import type { LayoutRotation } from './layout-options.js';
import type { Pose } from './overlap-model.js';
import { OverlapModel } from './overlap-model.js';
import { OverlapSearch } from './overlap-search.js';
import type { Margins } from './pack-rows.js';
import type { Packing, Piece } from './piece.js';
import { RandomSource } from './random-source.js';
import { simplifyPiece } from './simplify-outline.js';

export interface SearchOptions {
  readonly rotation: LayoutRotation;
  /** Samples that may be looked up per start. */
  readonly budget: number;
  /** Largest scale wanted; the search ends there. */
  readonly maxScale: number;
}

export interface StartOptions {
  /** A packing to start from. */
  readonly from?: Packing | undefined;
  /** Whether that packing is tight, so that it has to be changed a little. */
  readonly isTight?: boolean;
  /** Share of the square that the best packing known fills. */
  readonly known?: number;
}

/** Side of a grid cell: the pieces together cover the square of this many cells. */
const CELLS = 100;
/** Fill at which a start begins, and up to which it grows in large steps. */
const FIRST_FILL = 0.5;
const COARSE_FILL = 0.62;
/** Factors on the side when a fill was reached: below FIRST_FILL, below COARSE_FILL, and above. */
const SHRINKING = [0.97, 0.985, 0.995] as const;
/** Passes over the pieces before a side is given up. */
const PASSES = 200;
/** What may be missing to the gutter when a side counts as reached, in cells. */
const TOLERANCE = 0.2;

/**
 * Looks for tight packings from random starts. Pieces may overlap while the search moves them; when all are
 * apart the square shrinks a little. The packings found may break their margins by a fraction of a cell:
 * tighten them.
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
      const { points, loopOffsets } = simplifyPiece(p, 0.2 / this.#perUnit);
      return { points: points.map((x) => x * this.#perUnit), loopOffsets };
    });
    const model = new OverlapModel(small, { ...margins, maxSide: CELLS / Math.sqrt(0.3) });
    const straight = pieces.map((p) => findBoundingAngles(p).rectangle);
    this.#search = new OverlapSearch(model, options.rotation, straight);
  }

  /**
   * The best packing of one start; the same seed gives the same packing. Starts from a packing, changed a
   * little when it is tight already, or from pieces scattered at random, at the fill of what is known to fit
   * where that is low.
   */
  run(seed: number, { from, isTight, known = 1 }: StartOptions): Packing | undefined {
    const search = this.#search;
    const { model } = search;
    const random = new RandomSource(seed);
    search.random = random;
    const until = model.workCount + this.#options.budget;
    const leastSide = this.#perUnit / this.#options.maxScale;
    let best: Pose[] | undefined;
    let bestSide = Infinity;
    model.side = 0;
    if (from) {
      bestSide = this.#perUnit / from.scale;
      model.side = bestSide;
      best = from.placements.map(({ x, y, angle }) => ({ x: x * bestSide, y: y * bestSide, angle }));
      search.setPoses(best);
      search.setSide(Math.max(leastSide, bestSide * (isTight ? 0.997 : shrinking(bestSide))));
      if (isTight) disrupt(search, this.#pieces, random);
    } else {
      search.setSide(Math.max(leastSide, CELLS / Math.sqrt(Math.min(FIRST_FILL, known))));
      while (!search.scatter()) search.setSide(model.side * 1.05);
    }
    let foundAny = false;
    for (let round = 0; model.workCount < until && round < 1000; round++) {
      const side = model.side;
      if (search.separate(PASSES, TOLERANCE, until)) {
        best = search.poses();
        bestSide = side;
        foundAny = true;
        if (side <= leastSide) break;
        search.setSide(Math.max(leastSide, side * shrinking(side)));
      } else if (!best) {
        search.setSide(side * 1.05);
        if (!search.scatter()) return undefined;
      } else {
        model.side = bestSide;
        search.setPoses(best);
        search.setSide(side);
        disrupt(search, this.#pieces, random);
      }
    }
    if (!best || !foundAny) return undefined;
    return {
      scale: this.#perUnit / bestSide,
      placements: best.map(({ x, y, angle }) => ({ x: x / bestSide, y: y / bestSide, angle })),
    };
  }
}

function shrinking(side: number): number {
  const fill = (CELLS / side) ** 2;
  return SHRINKING[fill < FIRST_FILL ? 0 : fill < COARSE_FILL ? 1 : 2];
}

/** Exchanges two of the larger pieces. */
function disrupt(search: OverlapSearch, pieces: readonly Piece[], random: RandomSource): void {
  if (pieces.length < 2) return;
  const order = pieces.map((_, i) => i).sort((a, b) => pieces[b]!.area - pieces[a]!.area || a - b);
  const large = Math.max(2, Math.ceil(order.length * 0.6));
  const a = order[random.below(large)]!;
  let b = order[random.below(large)]!;
  if (a === b) b = order[(order.indexOf(a) + 1) % order.length]!;
  const { model } = search;
  const pa = model.pose(a);
  const pb = model.pose(b);
  model.setPose(a, { ...pb, angle: pa.angle });
  model.setPose(b, { ...pa, angle: pb.angle });
}
