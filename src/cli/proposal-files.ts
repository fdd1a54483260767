import type { AxisOptions } from '../fields/index.js';
import { writeWithUvs } from '../io/index.js';
import type { Layout } from '../layout/index.js';
import type { SeamSet } from '../proposing/index.js';
import { drawLayout, drawTemplate, writeReportPage } from '../report/index.js';
import { formatJson } from './format-text.js';
import type { LoadedModel } from './load-model.js';
import { proposalDocument } from './proposal-document.js';
import { proposalPage } from './proposal-page.js';
import { proposalReview } from './proposal-review.js';
import type { FinishedProposal, FinishedSet } from './propose-job.js';

/** Files that are written besides those that every set has. */
export interface FileChoice {
  readonly hasGlb: boolean;
  readonly hasTemplates: boolean;
}

/** Contents by name, in the order in which they are listed. */
export type FileMap = ReadonlyMap<string, string | Uint8Array>;

/** Files of the set at a place in the ranking. */
export async function setFiles(
  model: LoadedModel,
  rank: number,
  { set, layout, pictures }: Pick<FinishedSet, 'set' | 'layout' | 'pictures'>,
  { hasGlb, hasTemplates }: FileChoice,
): Promise<FileMap> {
  const files = new Map<string, string | Uint8Array>();
  const name = `set-${rank}`;
  for (const format of ['obj', undefined, ...(hasGlb ? (['glb'] as const) : [])] as const) {
    const { extension, bytes } = await writeWithUvs(model.document, layout.uvs, {
      format,
      seams: set.seams,
      charts: set.charts,
    });
    files.set(`${name}${extension}`, bytes);
  }
  if (hasTemplates)
    for (const [each, content] of templates(model, set, layout)) files.set(`${name}-${each}`, content);
  if (!pictures) return files;
  files.set(`${name}.svg`, pictures.svg);
  files.set(`${name}.png`, pictures.png);
  return files;
}

/** All files of a finished proposal by name, ready to be written. */
export function proposalFiles(model: LoadedModel, finished: FinishedProposal, axes: AxisOptions): FileMap {
  const files = new Map(finished.sets.flatMap((set) => [...set.files]));
  files.set(
    'report.html',
    writeReportPage({
      ...proposalPage(model, finished),
      review: proposalReview(model, finished, axes),
    }),
  );
  files.set(
    'proposal.json',
    formatJson(proposalDocument(model, finished, [...files.keys(), 'proposal.json'])),
  );
  return files;
}

/** Layers to paint under: one SVG of all tiles, and a PNG of each. */
function* templates(
  { mesh, name }: LoadedModel,
  set: SeamSet,
  layout: Layout,
): Generator<readonly [string, string | Uint8Array]> {
  const { resolution, tiles } = layout;
  const title = `${name}, ${set.name}`;
  // The picture's unit is the pixel; larger sheets are scaled by who opens them.
  const size = Math.min(resolution, 10_000);
  yield ['template.svg', drawLayout(mesh, layout, set, { size, ground: 'clear', title })];
  for (const { tile } of tiles) {
    const png = drawTemplate(mesh, layout, set, { resolution: Math.min(resolution, 16_384), tile });
    yield [tiles.length === 1 ? 'template.png' : `template-${tile}.png`, png];
  }
}
