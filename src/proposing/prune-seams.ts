import type { PredictedChart } from '../distortion/index.js';
import type { EdgeId, Mesh } from '../mesh/index.js';
import { edgeFaces } from '../mesh/index.js';
import type { SeamDraft } from '../seams/index.js';
import { findDeadEnds } from './dead-ends.js';
import type { Study } from './study-mesh.js';

/** What a seam must be worth to stay. */
export interface PruneLimits {
  /** Energy saved, as a mean over the surface, per exposed length over the square root of the area. */
  readonly worth: number;
  /** No chart is let stretch beyond this energy. */
  readonly stretchLimit: number;
}

/**
 * Takes back dead ends that save too little stretch for what is seen of them, the least worth first and mirror
 * images together. What would push a chart over the stretch limit stays.
 */
export function pruneSeams(study: Study, draft: SeamDraft, { worth, stretchLimit }: PruneLimits): void {
  const { mesh } = study;
  const before = draft.isSeam.slice();
  const removed: { edges: readonly EdgeId[]; role: ReturnType<SeamDraft['role']> }[] = [];
  for (;;) {
    let least: readonly EdgeId[] | undefined;
    let leastWorth = worth;
    const frame = study.frames.at(draft.isSeam);
    for (const { edges, twin, exposed, isLong } of findDeadEnds(study, draft)) {
      if (isLong) continue;
      const saving = (study.savings.estimate(frame, edges) * (twin.length > 0 ? 2 : 1)) / study.area;
      if (saving >= leastWorth * exposed) continue;
      least = [...edges, ...twin];
      leastWorth = saving / exposed;
    }
    if (!least) break;
    removed.push({ edges: least, role: draft.role(least[0]!) });
    draft.remove(least);
  }
  while (removed.length > 0) {
    const over = findStretched(study, draft.isSeam, stretchLimit);
    if (over.length === 0 || over.length <= findStretched(study, before, stretchLimit).length) break;
    const isStretched = markFaces(mesh, over);
    const last = removed.findLastIndex(({ edges }) => edges.some((e) => isStretched[edgeFaces(mesh, e)[0]]));
    if (last < 0) break;
    const [{ edges, role }] = removed.splice(last, 1) as [(typeof removed)[number]];
    draft.add(edges, role);
  }
}

/** 1 per face of the charts. */
export function markFaces(mesh: Mesh, charts: readonly PredictedChart[]): Uint8Array {
  const isMarked = new Uint8Array(mesh.faceCount);
  for (const { faces } of charts) for (const f of faces) isMarked[f] = 1;
  return isMarked;
}

/** Charts that are expected to stretch more than the limit. */
export function findStretched(
  { predictor, frames }: Study,
  isSeam: Uint8Array,
  stretchLimit: number,
): PredictedChart[] {
  return predictor.predict(frames.at(isSeam).cut).charts.filter(({ energy }) => energy > stretchLimit);
}
