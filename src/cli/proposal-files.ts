import type { AxisOptions } from '../fields/index.js';
import { writeWithUvs } from '../io/index.js';
import { writeReportPage } from '../report/index.js';
import { formatJson } from './format-text.js';
import type { LoadedModel } from './load-model.js';
import { proposalDocument } from './proposal-document.js';
import { proposalPage } from './proposal-page.js';
import { proposalReview } from './proposal-review.js';
import type { FinishedProposal } from './propose-job.js';

export interface FilesOptions extends AxisOptions {
  readonly hasGlb: boolean;
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
