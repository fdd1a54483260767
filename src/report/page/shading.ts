import type { ReviewModel, ReviewSet } from '../review/review-model.js';
import { AREA_LOG_LIMIT, RATIO_LOG_LIMIT } from '../review/review-model.js';
import type { PageMesh } from './page-mesh.js';
import type { Rgb } from './tints.js';
import { blend, CLAY, CLOTH_TINTS, EVEN_RAMP, rampColour, SIDED_RAMP } from './tints.js';

export const SHADINGS = {
  plain: 'plain clay',
  parts: 'parts of the figure',
  charts: 'pieces',
  ratio: 'stretch: long over short (σ1/σ2)',
  area: 'stretch: area against the mean',
  exposure: 'exposure: how much is seen',
  forecast: 'measured stretch against predicted',
} as const;
export type ShadingName = keyof typeof SHADINGS;

/** What the colours stand for. */
export type Legend =
  | { readonly kind: 'words'; readonly note: string; readonly entries: readonly LegendEntry[] }
  | {
      readonly kind: 'ramp';
      readonly note: string;
      readonly colours: readonly Rgb[];
      readonly ticks: readonly string[];
      /** Share of the surface in each of the equal steps of the ramp. */
      readonly shares: readonly number[];
      readonly facts: readonly string[];
    };

export interface LegendEntry {
  readonly colour: Rgb;
  readonly label: string;
  readonly value: string;
}

export interface Shading {
  /** 3 bytes for each face. */
  readonly colours: Uint8Array;
  readonly legend: Legend;
}

const BINS = 24;

/** Colours all faces by a shading, with its legend. */
export function shadeFaces(
  name: ShadingName,
  model: ReviewModel,
  mesh: PageMesh,
  set: ReviewSet,
  faceAreas: Float32Array,
): Shading {
  const count = mesh.faceCount;
  const byRamp = (
    values: ArrayLike<number>,
    from: number,
    to: number,
    ramp: readonly Rgb[],
    words: { note: string; ticks: readonly string[]; show: (value: number) => string },
  ): Shading => {
    const colours = new Uint8Array(3 * count);
    for (let f = 0; f < count; f++) colours.set(rampColour(ramp, (values[f]! - from) / (to - from)), 3 * f);
    const { shares, low, middle, high } = spreadOf(values, faceAreas, from, to);
    return {
      colours,
      legend: {
        kind: 'ramp',
        note: words.note,
        colours: ramp,
        ticks: words.ticks,
        shares,
        facts: [
          `5 % below ${words.show(low)}`,
          `middle ${words.show(middle)}`,
          `5 % above ${words.show(high)}`,
        ],
      },
    };
  };
  const byWords = (
    indices: ArrayLike<number>,
    labels: readonly string[],
    tints: readonly Rgb[],
    note: string,
  ): Shading => {
    const colours = new Uint8Array(3 * count);
    const areas = new Float64Array(labels.length);
    let total = 0;
    for (let f = 0; f < count; f++) {
      const i = indices[f]!;
      colours.set(i < 0 ? CLAY : tints[i]!, 3 * f);
      total += faceAreas[f]!;
      if (i >= 0) areas[i]! += faceAreas[f]!;
    }
    const entries = labels
      .map((label, i) => ({ label, colour: tints[i]!, area: areas[i]! }))
      .filter(({ area }) => area > 0)
      .sort((a, b) => b.area - a.area)
      .map(({ label, colour, area }) => ({ label, colour, value: `${((100 * area) / total).toFixed(1)} %` }));
    return { colours, legend: { kind: 'words', note, entries } };
  };
  switch (name) {
    case 'plain':
      return byWords(new Int32Array(count).fill(0), ['clay'], [CLAY], 'The model as it is.');
    case 'parts':
      return byWords(
        model.faceParts,
        model.parts.map((label) => label || 'no name'),
        spreadTints(mesh, model.faceParts, model.parts),
        'Parts that were recognised, by their share of the surface.',
      );
    case 'charts': {
      const labels = set.charts.map(({ label }) => label || 'piece');
      return byWords(
        set.faceCharts,
        labels,
        spreadTints(mesh, set.faceCharts, labels),
        'Pieces that the seams leave, by their share of the surface.',
      );
    }
    case 'ratio':
      return byRamp(set.faceRatio.map(Math.log2), 0, RATIO_LOG_LIMIT / 2, EVEN_RAMP, {
        note: 'How much longer a face became one way than the other. 1 is as on the model.',
        ticks: ['1', '1.2', '1.4', '1.7', '2 and more'],
        show: (value) => (2 ** value).toFixed(2),
      });
    case 'area':
      return byRamp(set.faceArea, -AREA_LOG_LIMIT / 2, AREA_LOG_LIMIT / 2, SIDED_RAMP, {
        note: 'Area on the sheet over area on the model, against the mean. 1 is even.',
        ticks: ['½', '0.7', '1', '1.4', '2'],
        show: (value) => (2 ** value).toFixed(2),
      });
    case 'exposure':
      return byRamp(model.faceExposure, 0, 1, EVEN_RAMP, {
        note: 'Share of the viewpoints that see a face. Seams hide best where this is low.',
        ticks: ['0', '¼', '½', '¾', '1'],
        show: (value) => value.toFixed(2),
      });
    case 'forecast': {
      const misses = set.charts.map(({ measured, predicted }) =>
        Math.log2((measured + 0.01) / (predicted + 0.01)),
      );
      const values = Float32Array.from(set.faceCharts, (chart) => (chart < 0 ? 0 : (misses[chart] ?? 0)));
      return byRamp(values, -2, 2, SIDED_RAMP, {
        note: 'Stretch measured on each piece over the stretch predicted before it was flattened. 1 is as foretold.',
        ticks: ['¼', '½', '1', '2', '4'],
        show: (value) => (2 ** value).toFixed(2),
      });
    }
  }
}

/** Area on the model of each face, in page units. */
export function measureFaceAreas(mesh: PageMesh): Float32Array {
  const areas = new Float32Array(mesh.faceCount);
  const { triangles, positions, cornerPoints } = mesh;
  for (let t = 0; t < triangles.length; t += 3) {
    const [p, q, r] = [0, 1, 2].map((k) => 3 * cornerPoints[triangles[t + k]!]!) as [number, number, number];
    const u = [0, 1, 2].map((k) => positions[q + k]! - positions[p + k]!);
    const v = [0, 1, 2].map((k) => positions[r + k]! - positions[p + k]!);
    areas[mesh.cornerFaces[triangles[t]!]!]! +=
      Math.hypot(
        u[1]! * v[2]! - u[2]! * v[1]!,
        u[2]! * v[0]! - u[0]! * v[2]!,
        u[0]! * v[1]! - u[1]! * v[0]!,
      ) / 2;
  }
  return areas;
}

/** Shares of the area in steps of a range, and its 5th, 50th and 95th hundredth. */
function spreadOf(
  values: ArrayLike<number>,
  areas: Float32Array,
  from: number,
  to: number,
): { shares: number[]; low: number; middle: number; high: number } {
  const fine = new Float64Array(BINS * 40);
  let total = 0;
  for (let f = 0; f < areas.length; f++) {
    const x = (values[f]! - from) / (to - from);
    fine[Math.min(fine.length - 1, Math.max(0, Math.floor(x * fine.length)))]! += areas[f]!;
    total += areas[f]!;
  }
  const at = (part: number) => {
    let sum = 0;
    for (let i = 0; i < fine.length; i++)
      if ((sum += fine[i]!) >= part * total) return from + ((i + 0.5) / fine.length) * (to - from);
    return to;
  };
  const shares = Array.from(
    { length: BINS },
    (_, i) => fine.subarray(40 * i, 40 * (i + 1)).reduce((sum, x) => sum + x, 0) / (total || 1),
  );
  return { shares, low: at(0.05), middle: at(0.5), high: at(0.95) };
}

/**
 * A tint for each group of faces so that neighbours differ; a left and a right of one name get one tint.
 */
function spreadTints(mesh: PageMesh, faceGroups: ArrayLike<number>, labels: readonly string[]): Rgb[] {
  const neighbours = labels.map(() => new Set<number>());
  const pointGroups = new Map<number, number>();
  for (let c = 0; c < mesh.cornerPoints.length; c++) {
    const group = faceGroups[mesh.cornerFaces[c]!]!;
    if (group < 0) continue;
    const other = pointGroups.get(mesh.cornerPoints[c]!);
    pointGroups.set(mesh.cornerPoints[c]!, group);
    if (other === undefined || other === group) continue;
    neighbours[group]!.add(other);
    neighbours[other]!.add(group);
  }
  const chosen: number[] = labels.map(() => -1);
  const pairs = new Map<string, number>();
  labels.forEach((label, i) => {
    const pair = label.replace(/^(left|right) /, '');
    const taken = new Set([...neighbours[i]!].map((j) => chosen[j]!));
    const partner = label === pair ? undefined : pairs.get(pair);
    let tint = partner !== undefined && !taken.has(partner) ? partner : i % CLOTH_TINTS.length;
    for (let k = 0; taken.has(tint) && k < CLOTH_TINTS.length; k++) tint = (tint + 1) % CLOTH_TINTS.length;
    chosen[i] = tint;
    pairs.set(pair, tint);
  });
  // Tints that come round again are lightened step by step.
  return chosen.map((tint, i) =>
    blend(CLOTH_TINTS[tint]!, [255, 255, 255], 0.12 * (Math.floor(i / CLOTH_TINTS.length) % 3)),
  );
}
