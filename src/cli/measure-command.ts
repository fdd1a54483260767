import type { LayoutReport } from '../distortion/index.js';
import type { CommandRun } from './command.js';
import { EXIT } from './exit-codes.js';
import { formatFacts, formatJson, formatNumber, formatShare } from './format-text.js';
import { loadLayout } from './load-layout.js';
import { readInteger } from './parse-arguments.js';
import { createProgress } from './progress.js';

/** Prints the figures of the UVs that a file already has. */
export async function runMeasure({ operands, options, streams }: CommandRun): Promise<number> {
  const resolution = readInteger(options, 'resolution', 16, 65536);
  const progress = createProgress(streams, options.quiet === true);
  const { name, report } = await loadLayout(operands[0]!, resolution, streams, progress);
  streams.writeOut(
    options.json === true
      ? formatJson({ file: name, ...measuredFigures(report) })
      : formatFacts(measuredFacts(report)),
  );
  return EXIT.done;
}

/** The figures of a layout as plain numbers, without the lists of faces. */
export function measuredFigures(report: LayoutReport) {
  return {
    charts: report.charts.length,
    disks: report.diskCount,
    energy: report.energy,
    energyGlobal: report.energyGlobal,
    stretchL2: report.stretchL2,
    stretchLinf: report.stretchLinf,
    quasiConformal: report.quasiConformal,
    areaError: report.areaError,
    angleError: report.angleError,
    unmappedFaces: report.unmappedFaces.length,
    flippedFaces: report.flippedFaces.length,
    degenerateFaces: report.degenerateFaces.length,
    mirroredCharts: report.mirroredCharts.length,
    overlappingPairs: report.overlaps.pairs.length,
    outsideFaces: report.outsideFaces.length,
    texelDensity: report.texelDensity,
    densitySpread: report.densitySpread,
    seamLength: report.seamLength,
    fill: report.fill,
  };
}

/** The same for reading. */
export function measuredFacts(report: LayoutReport): [string, string][] {
  const figures = measuredFigures(report);
  return [
    ['charts', `${figures.charts} (${figures.disks} disks)`],
    [
      'stretch energy',
      `${formatNumber(figures.energy)} (4 is none), at one scale ${formatNumber(figures.energyGlobal)}`,
    ],
    [
      'stretch L2, L∞',
      `${formatNumber(figures.stretchL2)}, ${formatNumber(figures.stretchLinf)} (1 is none)`,
    ],
    [
      'area, angle error',
      `${formatNumber(figures.areaError)} (1 is none), ${formatNumber((figures.angleError * 180) / Math.PI)}°`,
    ],
    ['faces without UVs', String(figures.unmappedFaces)],
    ['flipped faces', String(figures.flippedFaces)],
    ['faces without area', String(figures.degenerateFaces)],
    ['mirrored charts', String(figures.mirroredCharts)],
    ['overlapping pairs', String(figures.overlappingPairs)],
    ['outside the square', String(figures.outsideFaces)],
    [
      'pixels per unit',
      `${formatNumber(figures.texelDensity)}, charts differ by a factor of ${formatNumber(figures.densitySpread)}`,
    ],
    ['seam length', `${formatNumber(figures.seamLength)} model units`],
    ['fill', formatShare(figures.fill)],
  ];
}
