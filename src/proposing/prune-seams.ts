import type { EdgeId } from '../mesh/index.js';
import type { SeamDraft } from '../seams/index.js';
import { findDeadEnds } from './dead-ends.js';
import type { Study } from './study-mesh.js';

/**
 * Takes back dead ends that save too little stretch for what is seen of them, the least worth first and mirror
 * images together.
 *
 * @param worth - least energy saved, as a mean over the surface, per exposed length over the square root of the area
 * @param asksCharts - whether what seems too little from the surroundings is predicted for whole charts
 */
export function pruneSeams(study: Study, draft: SeamDraft, worth: number, asksCharts = false): void {
  for (;;) {
    let least: readonly EdgeId[] | undefined;
    let leastWorth = worth;
    for (const { edges, twin, exposed } of findDeadEnds(study, draft)) {
      const both = [...edges, ...twin];
      const saving = estimateSaving(study, draft.isSeam, both, edges, asksCharts ? worth * exposed : 0);
      if (saving >= leastWorth * exposed) continue;
      least = both;
      leastWorth = saving / exposed;
    }
    if (!least) break;
    draft.remove(least);
  }
}

/**
 * Energy, as a mean over the surface, that leaving out a dead end, with its mirror image, is expected to add. What is
 * less than is needed by the surroundings of one of them is predicted for whole charts: stretch that comes from afar
 * does not show in a patch.
 */
export function estimateSaving(
  { savings, predictor, frames, area }: Study,
  isSeam: Uint8Array,
  both: readonly EdgeId[],
  one: readonly EdgeId[],
  needed: number,
): number {
  const frame = frames.at(isSeam);
  const saving = (savings.estimate(frame, one) * both.length) / one.length / area;
  if (saving >= needed) return saving;
  const without = isSeam.slice();
  for (const e of both) without[e] = 0;
  return predictor.predict(frames.at(without).cut).energy - predictor.predict(frame.cut).energy;
}
