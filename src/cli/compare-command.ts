import { computeExposure } from '../fields/index.js';
import { computeEdgeLengths } from '../mesh/index.js';
import type { LayoutFigures } from '../revising/index.js';
import { compareLayouts } from '../revising/index.js';
import { readAxes } from './axis-options.js';
import type { CommandRun } from './command.js';
import { EXIT } from './exit-codes.js';
import { formatJson, formatNumber, formatShare, formatTable } from './format-text.js';
import type { LoadedLayout } from './load-layout.js';
import { loadLayout } from './load-layout.js';
import { readInteger } from './parse-arguments.js';
import { createProgress } from './progress.js';

interface ComparedLayout extends LoadedLayout {
  readonly figures: LayoutFigures;
}

/** Says which of two layouts is better in what. */
export async function runCompare({ operands, options, streams }: CommandRun): Promise<number> {
  const resolution = readInteger(options, 'resolution', 16, 65536);
  readAxes(options);
  const progress = createProgress(streams, options.quiet === true);
  const layouts: ComparedLayout[] = [];
  for (const operand of operands) {
    const layout = await loadLayout(operand, resolution, streams, progress);
    const { edgeExposure } = computeExposure(layout.mesh, readAxes(options, layout.document.upAxis));
    const exposedSeamLength = measureExposedSeam(layout, edgeExposure);
    layouts.push({ ...layout, figures: { ...layout.report, exposedSeamLength } });
  }
  const [a, b] = layouts as [ComparedLayout, ComparedLayout];
  if (a.mesh.faceCount !== b.mesh.faceCount) {
    progress.warn(
      `the files have ${a.mesh.faceCount} and ${b.mesh.faceCount} faces: they may be different models`,
    );
  }
  const { figures, summary } = compareLayouts(a.figures, b.figures);
  if (options.json === true) {
    const measures = figures.map(({ figure, better, ...rest }) => ({
      name: figure,
      ...rest,
      better: better === 'neither' ? 'tie' : better,
    }));
    streams.writeOut(formatJson({ a: a.name, b: b.name, measures, verdict: summary }));
  } else {
    const rows = figures.map(({ figure, a, b, better }) => {
      const format = figure === 'fill' ? formatShare : formatNumber;
      return [figure, format(a), format(b), better === 'neither' ? '' : better.toUpperCase()];
    });
    streams.writeOut(
      `A is ${a.name}, B is ${b.name}\n${formatTable([['', 'A', 'B', 'better'], ...rows])}${summary}\n`,
    );
  }
  return EXIT.done;
}

/** Length of the seams, each edge weighted by its exposure. */
function measureExposedSeam({ mesh, uvs }: LoadedLayout, edgeExposure: Float64Array): number {
  const edgeLengths = computeEdgeLengths(mesh);
  const differs = (c: number, d: number) =>
    !(Math.abs(uvs[2 * c]! - uvs[2 * d]!) < 1e-6 && Math.abs(uvs[2 * c + 1]! - uvs[2 * d + 1]!) < 1e-6);
  let sum = 0;
  for (let e = 0; e < mesh.edgeCount; e++) {
    const h = mesh.edgeHalfEdges[e]!;
    const t = mesh.twin[h]!;
    if (t >= 0 && (differs(h, mesh.next[t]!) || differs(mesh.next[h]!, t)))
      sum += edgeLengths[e]! * edgeExposure[e]!;
  }
  return sum;
}
