import type { EdgeId } from '../mesh/index.js';
import type { SeamDraft } from '../seams/index.js';
import type { DeadEnd } from './dead-ends.js';
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
    for (const end of findDeadEnds(study, draft)) {
      const saving = estimateSaving(study, draft.isSeam, end, asksCharts ? worth : 0);
      if (saving >= leastWorth * end.exposed) continue;
      least = [...end.edges, ...end.twin];
      leastWorth = saving / end.exposed;
    }
    if (!least) break;
    draft.remove(least);
  }
}

/**
 * Energy, as a mean over the surface, that leaving out a dead end with its mirror image is expected to add. What is not
 * worth its exposed length by the surroundings of one of them is predicted for whole charts: stretch that comes from
 * afar does not show in a patch.
 */
export function estimateSaving(
  { savings, predictor, frames, area }: Study,
  isSeam: Uint8Array,
  { edges, twin, exposed }: DeadEnd,
  worth: number,
): number {
  const frame = frames.at(isSeam);
  const saving = (savings.estimate(frame, edges) * (twin.length > 0 ? 2 : 1)) / area;
  if (saving >= worth * exposed) return saving;
  const without = isSeam.slice();
  for (const e of [...edges, ...twin]) without[e] = 0;
  return predictor.predict(frames.at(without).cut).energy - predictor.predict(frame.cut).energy;
}
