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
import type { FinishedProposal } from './propose-job.js';

export interface FilesOptions extends AxisOptions {
  readonly hasGlb: boolean;
  readonly hasTemplates: boolean;
}

/** All files of a finished proposal by name, ready to be written. */
export async function proposalFiles(
  model: LoadedModel,
  finished: FinishedProposal,
  options: FilesOptions,
): Promise<Map<string, string | Uint8Array>> {
  const { document } = model;
  const files = new Map<string, string | Uint8Array>();
  const formats = ['obj', undefined, ...(options.hasGlb ? (['glb'] as const) : [])] as const;
  for (const [i, { set, layout, pictures }] of finished.sets.entries()) {
    const name = `set-${i + 1}`;
    for (const format of formats) {
      const { extension, bytes } = await writeWithUvs(document, layout.uvs, {
        format,
        seams: set.seams,
        charts: set.charts,
      });
      files.set(`${name}${extension}`, bytes);
    }
    if (options.hasTemplates)
      for (const [each, content] of templates(model, set, layout)) files.set(`${name}-${each}`, content);
    if (!pictures) continue;
    files.set(`${name}.svg`, pictures.svg);
    files.set(`${name}.png`, pictures.png);
  }
  files.set(
    'report.html',
    writeReportPage({
      ...proposalPage(model, finished),
      review: proposalReview(model, finished, options),
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
