import type { AxisOptions } from '../fields/index.js';
import { buildAxisFrame, computeExposure } from '../fields/index.js';
import { findParts } from '../regions/index.js';
import type { PackedReview } from '../report/index.js';
import { buildReview, packReview } from '../report/index.js';
import type { LoadedModel } from './load-model.js';
import type { FinishedProposal } from './propose-job.js';

/** What the page's moving pictures are drawn from. */
export function proposalReview(
  { name, mesh }: LoadedModel,
  { sets }: FinishedProposal,
  axes: AxisOptions,
): PackedReview {
  const { up, front } = buildAxisFrame(axes);
  const { parts, faceParts } = findParts(mesh, { up, front });
  const { faceExposure } = computeExposure(mesh, { up, front });
  return packReview(
    buildReview(mesh, {
      name,
      up,
      front,
      parts: parts.map(({ name: part, side, digit }) => ({ name: digit ? `${digit} ${part}` : part, side })),
      faceParts,
      faceExposure,
      sets: sets.map(({ set, layout, measured }) => ({ ...set, layout, measured })),
    }),
  );
}
