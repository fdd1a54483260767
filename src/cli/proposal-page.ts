import type { ReportPage, ReportSet, ReportTable } from '../report/index.js';
import { partLabel } from '../report/index.js';
import { formatNumber, formatShare } from './format-text.js';
import type { LoadedModel } from './load-model.js';
import { measuredFacts } from './measure-command.js';
import type { FinishedProposal, FinishedSet } from './propose-job.js';

/** Columns of the table that sets the proposals side by side, on the page and on the terminal. */
const COMPARISON: readonly (readonly [string, (finished: FinishedSet) => string])[] = [
  ['score', ({ set }) => formatNumber(set.score)],
  ['pieces', ({ set }) => String(set.charts.length)],
  ['stretch', ({ measured }) => formatNumber(measured.energy)],
  ['predicted', ({ set }) => formatNumber(set.prediction.energy)],
  ['exposed seam', ({ set }) => formatNumber(set.criteria.exposure)],
  ['mirrored', ({ set }) => formatShare(set.criteria.symmetry)],
  ['fill', ({ layout }) => formatShare(layout.fill)],
];

/** Rows of figures, the heading first. */
export function comparisonRows(sets: readonly FinishedSet[]): string[][] {
  return [
    ['set', ...COMPARISON.map(([heading]) => heading)],
    ...sets.map((finished, i) => [
      `${i + 1} ${finished.set.name}`,
      ...COMPARISON.map(([, read]) => read(finished)),
    ]),
  ];
}

/** The page's content. */
export function proposalPage(model: LoadedModel, { proposal, sets }: FinishedProposal): ReportPage {
  const { mesh } = model;
  const [columns, ...rows] = comparisonRows(sets);
  return {
    title: `Seam sets for ${model.name}`,
    facts: [
      ['faces', String(mesh.faceCount)],
      ['shells', String(mesh.shellCount)],
      ['symmetric', proposal.mirror ? formatShare(proposal.mirror.matchedShare) : 'no'],
    ],
    notes: [
      ...mesh.repairs.map((repair) => `Repaired: ${repair.message}.`),
      ...proposal.conflicts.map((conflict) => `${conflict.hint}: ${conflict.message}`),
      'Stretch is the mean symmetric Dirichlet energy: 4 is none. Exposed seam is the length of the seams, weighted by how much each is seen, over the square root of the surface area.',
    ],
    comparison: { caption: 'Sets', columns: columns!, rows },
    sets: sets.map(pageSet),
  };
}

function pageSet({ set, layout, measured, pictures }: FinishedSet, index: number): ReportSet {
  return {
    title: `Set ${index + 1}: ${set.name}`,
    summary: set.summary,
    facts: [
      ...measuredFacts(measured),
      ['sheet', `${layout.resolution} pixels, padding ${formatNumber(layout.padding)}`],
    ],
    layout: pictures?.svg ?? '',
    views: pictures ? [{ name: 'front, left, back, right', png: pictures.png }] : [],
    tables: [seamTable(set), chartTable(set, measured)],
  };
}

function seamTable(set: FinishedSet['set']): ReportTable {
  return {
    caption: 'Seams',
    columns: ['role', 'part', 'length', 'exposure', 'reason'],
    rows: set.seams.map((seam) => [
      seam.role,
      partLabel(seam),
      formatNumber(seam.length),
      formatShare(seam.exposure),
      seam.reason,
    ]),
  };
}

function chartTable(set: FinishedSet['set'], measured: FinishedSet['measured']): ReportTable {
  const energies = new Map(measured.charts.map((chart) => [chart.faces[0], chart.distortion.energy]));
  return {
    caption: 'Pieces',
    columns: ['part', 'faces', 'area', 'stretch predicted', 'stretch measured'],
    rows: set.charts.map((chart) => [
      partLabel(chart),
      String(chart.faces.length),
      formatNumber(chart.area),
      formatNumber(chart.prediction.energy),
      formatNumber(energies.get(chart.faces[0]) ?? Number.NaN),
    ]),
  };
}
