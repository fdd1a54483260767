import type { Mesh } from '../mesh/index.js';
import type { DrawnSet } from './drawn-set.js';
import { partLabel } from './drawn-set.js';
import { findLabelSpot } from './label-spot.js';
import type { LaidChart } from './layout-outlines.js';

/** The name of a chart's part and where it is written, in UV units. */
export interface ChartLabel {
  readonly text: string;
  readonly u: number;
  readonly v: number;
  /** The font's size. */
  readonly size: number;
}

/** A letter is about this share of the font's size wide (common practice, no source). */
export const LETTER_WIDTH = 0.55;
/** Room left free at both ends of a name, as a share of the font's size. */
const AIR = 0.15;
/** From the middle of capitals, which are 0.72 high, to the lowest of the letters that reach below the line, with some air. */
const HALF_HEIGHT = 0.65;
const LARGEST = 1 / 45;
const SMALLEST = 1 / 140;

/** The names of all charts that have room for one that can be read. */
export function placeLabels(
  mesh: Mesh,
  uvs: Float64Array,
  charts: readonly LaidChart[],
  set: DrawnSet,
): ChartLabel[] {
  const faceLabels = new Map<number, string>();
  for (const chart of set.charts ?? [])
    for (let i = 0; i < chart.faces.length; i++) faceLabels.set(chart.faces[i]!, partLabel(chart));
  const labels: ChartLabel[] = [];
  for (const chart of charts) {
    const text = faceLabels.get(chart.faces[0]!) ?? '';
    const spot = text === '' ? undefined : findLabelSpot(mesh, uvs, chart, halfExtents(text));
    if (!spot) continue;
    const size = Math.min(LARGEST, spot.room);
    if (size >= SMALLEST) labels.push({ text, u: spot.u, v: spot.v, size });
  }
  return labels;
}

/** Half the width and half the height of a name in a font of size 1. */
const halfExtents = (text: string): readonly [number, number] => [
  (LETTER_WIDTH * text.length) / 2 + AIR,
  HALF_HEIGHT,
];
