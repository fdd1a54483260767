import type { AxisOptions } from '../fields/index.js';
import type { ObjDocument } from '../io/index.js';
import { createObj, writeGlb, writeObjBytes } from '../io/index.js';
import type { SurfaceView } from '../report/index.js';
import { drawLayout, SurfacePainter, standardViews, writeReportPage } from '../report/index.js';
import { formatJson } from './format-text.js';
import type { LoadedModel } from './load-model.js';
import { proposalDocument } from './proposal-document.js';
import { proposalPage } from './proposal-page.js';
import type { FinishedProposal } from './propose-job.js';

export interface FilesOptions extends AxisOptions {
  readonly hasGlb: boolean;
}

/** All files of a finished proposal by name, ready to be written. */
export function proposalFiles(
  model: LoadedModel,
  finished: FinishedProposal,
  options: FilesOptions,
): Map<string, string | Uint8Array> {
  const { mesh, document } = model;
  const files = new Map<string, string | Uint8Array>();
  const obj =
    document.format === 'obj' ? (document as ObjDocument) : createObj(document.mesh, document.faceGroups);
  const views: readonly SurfaceView[] = standardViews(options).filter(({ name }) => name !== 'above');
  const painter = new SurfacePainter(mesh, { width: 420, height: 560 });
  const pictures = finished.sets.map(({ set, layout }, i) => {
    const name = `set-${i + 1}`;
    const svg = drawLayout(mesh, layout, set, { title: `${model.name}, ${set.name}` });
    const png = painter.draw(set, views);
    files.set(`${name}.obj`, writeObjBytes(obj, layout.uvs));
    files.set(`${name}.svg`, svg);
    files.set(`${name}.png`, png);
    if (options.hasGlb) files.set(`${name}.glb`, writeGlb(document, layout.uvs));
    return { svg, png };
  });
  files.set('report.html', writeReportPage(proposalPage(model, finished, pictures)));
  files.set(
    'proposal.json',
    formatJson(proposalDocument(model, finished, [...files.keys(), 'proposal.json'])),
  );
  return files;
}
