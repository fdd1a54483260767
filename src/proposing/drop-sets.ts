import { dominates } from '../ranking/index.js';
import type { DescribedSet } from './describe-set.js';
import type { DropCause, DroppedSet } from './proposal.js';

/** A described set and what it is called. */
export interface DrawnSet {
  readonly name: string;
  readonly set: DescribedSet;
}

/** How far through the ranking each drawn set came; every list is part of the one before. */
export interface RankingStages {
  readonly drawn: readonly DrawnSet[];
  /** Every chart a disk. */
  readonly valid: readonly DrawnSet[];
  /** Within the chart limit. */
  readonly within: readonly DrawnSet[];
  /** Beaten by none. */
  readonly front: readonly DrawnSet[];
  /** Filling enough of a sheet. */
  readonly offered: readonly DrawnSet[];
  readonly kept: readonly DrawnSet[];
}

/** What candidates are weighed by; smaller is better. */
export function weighSet({ set: { criteria } }: DrawnSet): number[] {
  return [criteria.pieces, criteria.stretch, criteria.exposure, -(criteria.fill ?? 0)];
}

const IN_WORDS = ['pieces', 'stretch', 'seam in view', 'sheet filled'];

/** Every set that was drawn and not kept, in the order of drawing, with the reason. */
export function explainDropped(stages: RankingStages, chartLimit: number): DroppedSet[] {
  return stages.drawn
    .filter((entry) => !stages.kept.includes(entry))
    .map((entry): DroppedSet => {
      const { name, set } = entry;
      const beatenBy = stages.kept.findIndex((kept) => dominates(weighSet(kept), weighSet(entry)));
      return {
        name,
        ...explain(entry, stages, beatenBy, chartLimit),
        ...(beatenBy >= 0 && { beatenBy }),
        prediction: set.prediction,
        criteria: set.criteria,
      };
    });
}

function explain(
  entry: DrawnSet,
  { valid, within, front, offered, kept }: RankingStages,
  beatenBy: number,
  chartLimit: number,
): { cause: DropCause; reason: string } {
  const { charts, criteria } = entry.set;
  if (!valid.includes(entry)) return { cause: 'notDisks', reason: 'one of its charts is no disk' };
  if (!within.includes(entry))
    return { cause: 'chartLimit', reason: `it has ${charts.length} charts, and ${chartLimit} are allowed` };
  if (!front.includes(entry)) {
    const own = weighSet(entry);
    const better = kept[beatenBy] ?? front.find((other) => dominates(weighSet(other), own));
    if (!better) {
      const twin = front.find((other) => weighSet(other).every((x, k) => x === own[k]));
      return { cause: 'beaten', reason: `it came out like ${twin?.name ?? 'another'}` };
    }
    const other = weighSet(better);
    const points = IN_WORDS.filter((_, k) => other[k]! < own[k]!);
    return {
      cause: 'beaten',
      reason: `${better.name} is better in ${points.join(', ')} and worse in nothing`,
    };
  }
  if (!offered.includes(entry))
    return {
      cause: 'packing',
      reason: `its charts may cover ${Math.round(100 * (criteria.fill ?? 0))} % of a sheet only`,
    };
  return {
    cause: 'spread',
    reason: 'others score higher or offer more',
  };
}
