import type { AxisOptions } from '../fields/index.js';
import { buildAxisFrame } from '../fields/index.js';
import type { PackedReview } from '../report/index.js';
import { buildReview, packReview } from '../report/index.js';
import type { LoadedModel } from './load-model.js';
import type { FinishedProposal } from './propose-job.js';

/** What the page's moving pictures are drawn from. */
export function proposalReview(
  { name, mesh }: LoadedModel,
  { proposal, surface, sets }: FinishedProposal,
  axes: AxisOptions,
): PackedReview {
  const { up, front } = buildAxisFrame(axes);
  return packReview(
    buildReview(mesh, {
      name,
      up,
      front,
      parts: surface.parts.map(({ name: part, side, digit }) => ({
        name: digit ? `${digit} ${part}` : part,
        side,
      })),
      faceParts: surface.faceParts,
      faceExposure: surface.faceExposure,
      dropped: proposal.dropped,
      sets: sets.map(({ set, layout, measured }) => ({ ...set, layout, measured })),
    }),
  );
}
