import { LimitError } from '../errors.js';
import { chooseSpread, describeTradeOff, findParetoFront, scoreSet } from '../ranking/index.js';
import type { DescribedSet } from './describe-set.js';
import { type DrawnSet, explainDropped, weighSet } from './drop-sets.js';
import type { DroppedSet, Proposal, SeamSet } from './proposal.js';
import type { ProposeOptions } from './propose-options.js';
import { PROPOSE_DEFAULTS } from './propose-options.js';

/** Sets expected to fill less of a sheet than this are offered only where others are wanting. */
const PACKABLE = 0.5;

/**
 * The sets worth offering, best first: none is worse than another in everything, and they differ from one another;
 * and what was drawn besides.
 *
 * @throws NO_VALID_SET when none has disks for charts, or none is within the chart limit
 */
export function rankSets(
  drawn: readonly DrawnSet[],
  options: ProposeOptions,
): { readonly sets: Proposal['sets']; readonly dropped: DroppedSet[] } {
  const valid = drawn.filter(({ set }) => set.charts.every((chart) => chart.topology.isDisk));
  const limit = options.chartLimit ?? Infinity;
  const within = valid.filter(({ set }) => set.charts.length <= limit);
  if (within.length === 0) {
    const fewest = Math.min(...valid.map(({ set }) => set.charts.length));
    throw new LimitError(
      'NO_VALID_SET',
      valid.length === 0
        ? 'proposeSeams: no choice of seams opens every chart to a disk; inspect the mesh for damage'
        : `proposeSeams: no set has ${limit} charts or fewer, the fewest is ${fewest}; raise chartLimit`,
      { chartLimit: limit },
    );
  }
  const count = options.sets ?? PROPOSE_DEFAULTS.sets;
  const front = findParetoFront(within.map(weighSet)).map((i) => within[i]!);
  const packable = front.filter(({ set }) => (set.criteria.fill ?? 1) >= PACKABLE);
  const offered = packable.length >= count && options.criteria?.fill !== 0 ? packable : front;
  const scores = offered.map(({ set }) => scoreSet(set.criteria, options.criteria));
  const figures = offered.map(({ set }) => [
    Math.log(set.criteria.pieces),
    Math.log(set.criteria.stretch + 0.05),
    set.criteria.exposure,
  ]);
  const chosen = chooseSpread(scores, figures, count);
  const scored = chosen.map((i) => ({ ...offered[i]!, score: scores[i]! }));
  const kept = chosen.map((i) => offered[i]!);
  const dropped = explainDropped({ drawn, valid, within, front, offered, kept }, limit);
  const [best, ...others] = scored.map(
    ({ name, set, score }, i): SeamSet => ({
      name,
      seams: set.seams,
      charts: set.charts,
      prediction: set.prediction,
      criteria: set.criteria,
      score,
      summary: summarise(name, set, i === 0 ? undefined : scored[0]!.set),
    }),
  );
  return { sets: [best!, ...others], dropped };
}

function summarise(name: string, set: DescribedSet, best: DescribedSet | undefined): string {
  const { pieces, stretch, exposure } = set.criteria;
  const own = `${name}: ${pieces} ${pieces === 1 ? 'piece' : 'pieces'}, predicted energy ${(4 + stretch).toFixed(2)}, seam in view ${exposure.toFixed(2)}`;
  return best ? `${own}; against the first: ${describeTradeOff(set.criteria, best.criteria)}` : own;
}
