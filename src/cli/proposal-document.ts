import type { LoadedModel } from './load-model.js';
import { measuredFigures } from './measure-command.js';
import type { FinishedProposal, FinishedSet } from './propose-job.js';

/** What proposal.json holds. Points and faces are the caller's own indices. */
export function proposalDocument(
  model: LoadedModel,
  { proposal, sets }: FinishedProposal,
  files: readonly string[],
) {
  return {
    version: 1,
    model: {
      file: model.name,
      points: model.mesh.pointCount,
      faces: model.mesh.faceCount,
      shells: model.mesh.shellCount,
    },
    repairs: proposal.repairs,
    mirror: proposal.mirror ?? null,
    conflicts: proposal.conflicts,
    files,
    sets: sets.map(setDocument),
    dropped: proposal.dropped,
  };
}

function setDocument({ set, layout, measured }: FinishedSet, index: number) {
  const { resolution, padding, gutter, gap, fill, density, notes } = layout;
  return {
    rank: index + 1,
    name: set.name,
    score: set.score,
    summary: set.summary,
    criteria: set.criteria,
    prediction: set.prediction,
    measured: measuredFigures(measured),
    layout: { resolution, padding, gutter, gap: Number.isFinite(gap) ? gap : null, fill, density, notes },
    seams: set.seams,
    charts: set.charts.map((chart, i) => ({
      part: chart.part,
      side: chart.side,
      ...(chart.mirrorOf !== undefined && { mirrorOf: chart.mirrorOf }),
      area: chart.area,
      prediction: chart.prediction,
      topology: chart.topology,
      placement: layout.charts[i],
      faces: chart.faces,
    })),
  };
}
