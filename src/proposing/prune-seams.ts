import type { EdgeId } from '../mesh/index.js';
import type { SeamDraft } from '../seams/index.js';
import { findDeadEnds } from './dead-ends.js';
import type { Study } from './study-mesh.js';

/**
 * Takes back dead ends that save too little stretch for what is seen of them, the least worth first and mirror
 * images together.
 *
 * @param worth - least energy saved, as a mean over the surface, per exposed length over the square root of the area
 */
export function pruneSeams(study: Study, draft: SeamDraft, worth: number): void {
  for (;;) {
    let least: readonly EdgeId[] | undefined;
    let leastWorth = worth;
    const frame = study.frames.at(draft.isSeam);
    for (const { edges, twin, exposed } of findDeadEnds(study, draft)) {
      const saving = (study.savings.estimate(frame, edges) * (twin.length > 0 ? 2 : 1)) / study.area;
      if (saving >= leastWorth * exposed) continue;
      least = [...edges, ...twin];
      leastWorth = saving / exposed;
    }
    if (!least) break;
    draft.remove(least);
  }
}
