import type { SeamSet } from './proposal.js';
import type { SettledCharts } from './propose-options.js';

/**
 * Settles some charts of a set, so that the next proposal draws seams for the rest only.
 *
 * @param charts - indices into `set.charts`; all of them when left out
 *
 * @example
 * await proposeSeams(mesh, { hints: { settled: settleCharts(proposal.sets[0], [0, 2]) } });
 */
export function settleCharts(
  set: Pick<SeamSet, 'seams' | 'charts'>,
  charts: readonly number[] = set.charts.map((_, i) => i),
): SettledCharts {
  return {
    faces: charts.flatMap((i) => [...(set.charts[i]?.faces ?? [])]),
    edges: set.seams.flatMap(({ edges }) => edges),
  };
}
