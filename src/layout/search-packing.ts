import { OverlapSearch } from './overlap-search.js';
import type { Poses } from './overlap-search.js';
import type { Margins } from './pack-rows.js';
import type { Packing, Piece } from './piece.js';
import { RandomSource } from './random-source.js';
import { simplifyPiece } from './simplify-outline.js';

export interface SearchOptions {
  readonly turnCount: number;
  /** Number of poses that may be weighed. */
  readonly budget: number;
  readonly seed: number;
  readonly starts: number;
  readonly cells?: number;
  readonly log?: (text: string) => void;
}

/**
 * Looks for tight packings from several random starts; returns one candidate a start, in the order found.
 */
export function searchPackings(pieces: readonly Piece[], margins: Margins, options: SearchOptions): Packing[] {
  const total = pieces.reduce((sum, p) => sum + p.area, 0);
  const cells = options.cells ?? 128;
  const perUnit = cells / Math.sqrt(total);
  const small = pieces.map((p) => {
    const { points, loopOffsets } = simplifyPiece(p, 0.25 / perUnit);
    return { points: points.map((x) => x * perUnit), loopOffsets };
  });
  const search = new OverlapSearch(small, options.turnCount, margins.border, margins.gutter, cells / Math.sqrt(0.3), options.seed);
  const random = new RandomSource(options.seed ^ 0x5bd1e995);
  const found: Packing[] = [];
  for (let start = 0; start < options.starts; start++) {
    const until = search.evaluations + options.budget / options.starts;
    let side = cells / Math.sqrt(0.5);
    search.setSide(side);
    search.scatter();
    let best: Poses | undefined;
    let bestSide = Infinity;
    let fails = 0;
    while (search.evaluations < until) {
      search.setSide(side, true);
      search.evaluations += 200;
      if (search.fits() && search.separate(100, 0.3)) {
        best = search.poses();
        bestSide = side;
        options.log?.(`${((cells / side) ** 2).toFixed(3)}@${(search.evaluations / 1e6).toFixed(2)}`);
        side *= cells / side < Math.sqrt(0.62) ? 0.985 : 0.995;
        fails = 0;
        continue;
      }
      fails++;
      search.evaluations += 1000;
      if (!best) {
        side *= 1.02;
        search.setSide(side);
        search.scatter();
        continue;
      }
      if (fails % 4 === 3) {
        search.setPoses(best);
        disrupt(search, pieces, random);
      }
    }
    if (!best) continue;
    const { xs, ys, turns } = best;
    found.push({
      scale: perUnit / bestSide,
      placements: pieces.map((_, i) => ({ x: xs[i]! / bestSide, y: ys[i]! / bestSide, angle: (turns[i]! * 2 * Math.PI) / options.turnCount })),
    });
  }
  return found;
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
