import { computeExposure } from '../fields/index.js';
import { computeEdgeLengths } from '../mesh/index.js';
import { readAxes } from './axis-options.js';
import type { CommandRun } from './command.js';
import { EXIT } from './exit-codes.js';
import { formatJson, formatNumber, formatShare, formatTable } from './format-text.js';
import type { LoadedLayout } from './load-layout.js';
import { loadLayout } from './load-layout.js';
import { readInteger } from './parse-arguments.js';
import { createProgress } from './progress.js';

/** One thing that two layouts are compared in. */
interface Measure {
  readonly name: string;
  readonly isMoreBetter?: boolean;
  readonly format: (value: number) => string;
  readonly read: (layout: ComparedLayout) => number;
}

interface ComparedLayout extends LoadedLayout {
  /** Length of the seams, weighted by exposure, over the square root of the surface area. */
  readonly exposedSeam: number;
}

const MEASURES: readonly Measure[] = [
  { name: 'pieces', format: String, read: ({ report }) => report.charts.length },
  { name: 'stretch energy', format: formatNumber, read: ({ report }) => report.energy },
  { name: 'worst stretch', format: formatNumber, read: ({ report }) => report.stretchLinf },
  {
    name: 'seam length',
    format: formatNumber,
    read: ({ report }) => report.seamLength / Math.sqrt(report.surfaceArea),
  },
  { name: 'exposed seam', format: formatNumber, read: ({ exposedSeam }) => exposedSeam },
  { name: 'uneven density', format: formatNumber, read: ({ report }) => report.densitySpread },
  { name: 'flipped faces', format: String, read: ({ report }) => report.flippedFaces.length },
  { name: 'overlapping pairs', format: String, read: ({ report }) => report.overlaps.pairs.length },
  { name: 'mirrored charts', format: String, read: ({ report }) => report.mirroredCharts.length },
  { name: 'fill', isMoreBetter: true, format: formatShare, read: ({ report }) => report.fill },
];

/** Differences below this share are none: they come from rounding in files. */
const TIE_SHARE = 0.005;

interface Comparison {
  readonly measure: Measure;
  readonly a: number;
  readonly b: number;
  /** 'a' or 'b', whichever is better; 'tie' for neither. */
  readonly better: 'a' | 'b' | 'tie';
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
    layouts.push({ ...layout, exposedSeam: measureExposedSeam(layout, edgeExposure) });
  }
  const [a, b] = layouts as [ComparedLayout, ComparedLayout];
  if (a.mesh.faceCount !== b.mesh.faceCount) {
    progress.warn(
      `the files have ${a.mesh.faceCount} and ${b.mesh.faceCount} faces: they may be different models`,
    );
  }
  const comparisons = MEASURES.map((measure) => compareBy(measure, a, b));
  const verdict = describeVerdict(comparisons);
  if (options.json === true) {
    const measures = comparisons.map(({ measure, ...rest }) => ({ name: measure.name, ...rest }));
    streams.writeOut(formatJson({ a: a.name, b: b.name, measures, verdict }));
  } else {
    const rows = comparisons.map(({ measure, a, b, better }) => [
      measure.name,
      measure.format(a),
      measure.format(b),
      better === 'tie' ? '' : better.toUpperCase(),
    ]);
    streams.writeOut(
      `A is ${a.name}, B is ${b.name}\n${formatTable([['', 'A', 'B', 'better'], ...rows])}${verdict}\n`,
    );
  }
  return EXIT.done;
}

function compareBy(measure: Measure, left: ComparedLayout, right: ComparedLayout): Comparison {
  const a = measure.read(left);
  const b = measure.read(right);
  const isTie = a === b || Math.abs(a - b) <= TIE_SHARE * Math.max(Math.abs(a), Math.abs(b));
  const isABetter = measure.isMoreBetter ? a > b : a < b;
  return { measure, a, b, better: isTie ? 'tie' : isABetter ? 'a' : 'b' };
}

function describeVerdict(comparisons: readonly Comparison[]): string {
  const names = (side: 'a' | 'b') =>
    comparisons.filter(({ better }) => better === side).map(({ measure }) => measure.name);
  const a = names('a');
  const b = names('b');
  if (a.length + b.length === 0) return 'A and B are alike in everything measured.';
  if (b.length === 0) return `A is at least as good in everything, and better in ${a.join(', ')}.`;
  if (a.length === 0) return `B is at least as good in everything, and better in ${b.join(', ')}.`;
  return `A is better in ${a.join(', ')}; B is better in ${b.join(', ')}.`;
}

function measureExposedSeam({ mesh, uvs, report }: LoadedLayout, edgeExposure: Float64Array): number {
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
  return sum / Math.sqrt(report.surfaceArea);
}
