import type { LayoutReport } from '../../distortion/index.js';
import type { Vec3 } from '../../math/index.js';
import type { Mesh } from '../../mesh/index.js';
import { EdgeFinder } from '../../mesh/index.js';
import type { DrawnChart, DrawnSeam } from '../drawn-set.js';
import { partLabel } from '../drawn-set.js';
import { styleSeams } from '../seam-styles.js';
import type {
  ReviewChart,
  ReviewDropped,
  ReviewFigures,
  ReviewModel,
  ReviewSeam,
  ReviewSet,
} from './review-model.js';

/** A seam set with its finished sheet, as a review needs it; a proposal's sets fit. */
export interface ReviewSetInput {
  readonly name: string;
  readonly summary: string;
  readonly score: number;
  readonly criteria: Omit<ReviewFigures, 'score' | 'predicted'>;
  readonly prediction: { readonly energy: number };
  readonly seams: readonly (DrawnSeam & { readonly exposure?: number; readonly reason?: string })[];
  readonly charts: readonly (DrawnChart & {
    readonly area: number;
    readonly prediction: {
      readonly energy: number;
      readonly energyLow: number;
      readonly energyHigh: number;
    };
  })[];
  readonly layout: { readonly uvs: Float64Array; readonly resolution: number; readonly fill: number };
  readonly measured: LayoutReport;
}

/** A candidate that was not offered, as a review needs it; a proposal's dropped sets fit. */
export interface ReviewDroppedInput {
  readonly name: string;
  readonly reason: string;
  readonly beatenBy?: number;
  readonly criteria: Omit<ReviewFigures, 'score' | 'predicted'>;
  readonly prediction: { readonly energy: number };
}

export interface ReviewInput {
  readonly name: string;
  readonly up: Vec3;
  readonly front: Vec3;
  /** Names of parts, and the index of each face's. */
  readonly parts: readonly { readonly name: string; readonly side: string }[];
  readonly faceParts: Int32Array;
  /** 0..1 of each face. */
  readonly faceExposure: Float64Array;
  readonly sets: readonly ReviewSetInput[];
  /** @defaultValue none */
  readonly dropped?: readonly ReviewDroppedInput[];
}

/** Gathers what the review page shows. */
export function buildReview(mesh: Mesh, input: ReviewInput): ReviewModel {
  const faceVertexCounts = new Int32Array(mesh.faceCount);
  for (let f = 0; f < mesh.faceCount; f++)
    faceVertexCounts[f] = mesh.faceOffsets[f + 1]! - mesh.faceOffsets[f]!;
  const finder = new EdgeFinder(mesh);
  return {
    name: input.name,
    up: input.up,
    front: input.front,
    points: Float32Array.from(mesh.points),
    faceVertexCounts,
    faceVertexIndices: mesh.cornerPoints,
    parts: input.parts.map(({ name, side }) => partLabel({ part: name, side })),
    faceParts: input.faceParts,
    faceExposure: Float32Array.from(input.faceExposure),
    sets: input.sets.map((set) => buildSet(mesh, finder, set)),
    dropped: (input.dropped ?? []).map(buildDropped),
  };
}

function buildSet(mesh: Mesh, finder: EdgeFinder, set: ReviewSetInput): ReviewSet {
  const { layout, measured } = set;
  const faceCharts = new Int32Array(mesh.faceCount).fill(-1);
  set.charts.forEach((chart, i) => {
    for (let k = 0; k < chart.faces.length; k++) faceCharts[chart.faces[k]!] = i;
  });
  return {
    name: set.name,
    summary: set.summary,
    figures: {
      ...pickFigures(set.criteria),
      stretch: measured.energy - 4,
      predicted: set.prediction.energy - 4,
      fill: layout.fill,
      score: set.score,
    },
    seams: buildSeams(mesh, finder, set),
    charts: buildCharts(set),
    resolution: layout.resolution,
    faceCharts,
    uvs: Float32Array.from(layout.uvs),
    ...faceStretch(mesh, measured),
  };
}

function buildDropped({ name, reason, beatenBy, criteria, prediction }: ReviewDroppedInput): ReviewDropped {
  const { exposure, frontExposure, seamLength, pieces, symmetry } = criteria;
  const figures = { predicted: prediction.energy - 4, exposure, frontExposure, seamLength, pieces, symmetry };
  return { name, reason, beatenBy: beatenBy ?? -1, figures };
}

function pickFigures(criteria: ReviewSetInput['criteria']): ReviewSetInput['criteria'] {
  const { stretch, exposure, frontExposure, seamLength, pieces, symmetry, fill } = criteria;
  return { stretch, exposure, frontExposure, seamLength, pieces, symmetry, fill };
}

function buildSeams(mesh: Mesh, finder: EdgeFinder, set: ReviewSetInput): ReviewSeam[] {
  const styles = styleSeams(set.seams);
  return set.seams.map((seam, i) => ({
    role: seam.role ?? 'seam',
    label: partLabel(seam),
    length: seam.length ?? 0,
    exposure: seam.exposure ?? 0,
    reason: seam.reason ?? '',
    ...styles[i]!,
    corners: seam.edges.flatMap(([a, b]) => finder.find(a, b).flatMap((e) => edgeCorners(mesh, e))),
  }));
}

/** The corners, one on each side, from which an edge leaves in the caller's order. */
function edgeCorners(mesh: Mesh, e: number): number[] {
  const h = mesh.edgeHalfEdges[e]!;
  const sides = mesh.twin[h]! < 0 ? [h] : [h, mesh.twin[h]!];
  // Where the topology runs against the caller's order, the edge leaves the caller's previous corner.
  return sides.map((side) => (mesh.faceFlipped[mesh.cornerFaces[side]!] ? mesh.next[side]! : side));
}

function buildCharts({ charts, measured }: ReviewSetInput): ReviewChart[] {
  return charts.map((chart) => {
    const found = measured.charts[measured.faceCharts[chart.faces[0]!]!];
    return {
      label: partLabel(chart),
      faceCount: chart.faces.length,
      area: chart.area,
      predicted: chart.prediction.energy - 4,
      predictedLow: chart.prediction.energyLow - 4,
      predictedHigh: chart.prediction.energyHigh - 4,
      measured: found ? found.distortion.energy - 4 : Number.NaN,
    };
  });
}

/** σ1/σ2 and the area ratio, over that of the whole sheet, of each face. */
function faceStretch(mesh: Mesh, measured: LayoutReport): Pick<ReviewSet, 'faceRatio' | 'faceArea'> {
  const faceRatio = new Float32Array(mesh.faceCount).fill(1);
  const faceArea = new Float32Array(mesh.faceCount);
  let uvArea = 0;
  let surfaceArea = 0;
  for (const { distortion } of measured.charts) {
    uvArea += Math.abs(distortion.uvArea);
    surfaceArea += distortion.surfaceArea;
  }
  const mean = uvArea / surfaceArea || 1;
  for (const { faces, distortion } of measured.charts) {
    for (let i = 0; i < faces.length; i++) {
      const large = distortion.faceSigma1[i]!;
      const small = distortion.faceSigma2[i]!;
      faceRatio[faces[i]!] = large / Math.max(small, 1e-6 * large);
      faceArea[faces[i]!] = Math.log2((large * small) / mean);
    }
  }
  return { faceRatio, faceArea };
}
