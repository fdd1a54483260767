import type { CutMesh, EdgeId, FaceId, Mesh, SeamEdges } from '../mesh/index.js';
import { cutMesh, groupFacesByChart, listBorder, requireMesh, seamMask } from '../mesh/index.js';
import { BoundedMap } from '../structures/index.js';
import type { MirroredElements } from './chart-selection.js';
import type { PredictedChart } from './predict-chart.js';
import { predictChart } from './predict-chart.js';
import { estimateEnergy } from './predict-model.js';
import { StrainSystem } from './predict-strain.js';

/** What flattening is expected to cost, chart by chart. */
export interface DistortionPrediction {
  readonly charts: readonly PredictedChart[];
  /** Area-weighted mean of the charts' energies; Infinity when a chart is no disk. */
  readonly energy: number;
  readonly energyLow: number;
  readonly energyHigh: number;
}

/**
 * Predicts the distortion of every chart that the seams leave, without flattening any.
 *
 * @param seams - point pairs, as seam sets carry them, or a mesh that is cut already
 * @returns charts in the order of cutMesh; one that is no disk has energy Infinity
 * @throws HINT_INVALID when a seam is no edge
 *
 * @example
 * predictDistortion(mesh, proposal.sets[0].seams).energy; // 4.07, say; 4 is isometry
 */
export function predictDistortion(mesh: Mesh, seams: readonly SeamEdges[] | CutMesh): DistortionPrediction {
  requireMesh(mesh, 'predictDistortion');
  return new DistortionPredictor(mesh).predict(seams);
}

/** Charts are remembered up to so many times the mesh's faces. */
const KEPT_SETS = 24;

/**
 * Predicts for one set of seams after another on the same mesh. A chart that an earlier set had already costs
 * nothing again, so adding or removing one seam costs the charts beside it.
 */
export class DistortionPredictor {
  readonly #mesh: Mesh;
  readonly #mirror: MirroredElements | undefined;
  readonly #known: BoundedMap<string, PredictedChart>;
  readonly #predicted = new WeakMap<CutMesh, DistortionPrediction>();
  #system: StrainSystem | undefined;

  /** @param mirror - halves the work: charts that are mirror images are predicted alike, one of them being worked out */
  constructor(mesh: Mesh, mirror?: MirroredElements) {
    this.#mesh = mesh;
    this.#mirror = mirror;
    this.#known = new BoundedMap(KEPT_SETS * mesh.faceCount);
  }

  /** As predictDistortion. */
  predict(seams: readonly SeamEdges[] | CutMesh): DistortionPrediction {
    if (!('faceCharts' in seams)) return this.#predictCut(cutMesh(this.#mesh, seamMask(this.#mesh, seams)));
    let prediction = this.#predicted.get(seams);
    if (!prediction) {
      prediction = this.#predictCut(seams);
      this.#predicted.set(seams, prediction);
    }
    return prediction;
  }

  #predictCut(cut: CutMesh): DistortionPrediction {
    const { offsets, faces } = groupFacesByChart(cut);
    const charts = Array.from({ length: cut.chartCount }, (_, i) =>
      this.#recall(faces.slice(offsets[i]!, offsets[i + 1]!), cut.isSeam),
    );
    return { charts, ...averageEnergies(charts) };
  }

  /**
   * Energy times area that a dead end of seams is expected to save in a patch of a chart, which is not remembered;
   * undefined where the patch is no disk with the dead end or without.
   *
   * @param faces - connected without crossing a seam, ascending
   * @param isSeam - 1 per edge that is cut
   * @param edges - the dead end
   */
  predictSaving(faces: Int32Array, isSeam: Uint8Array, edges: readonly EdgeId[]): number | undefined {
    const strains = this.#strain.solveDeadEnd(faces, isSeam, edges);
    if (!strains) return undefined;
    const { closed, cut } = strains;
    return (estimateEnergy(closed).excess - estimateEnergy(cut).excess) * this.#strain.measureArea(faces);
  }

  get #strain(): StrainSystem {
    this.#system ??= new StrainSystem(this.#mesh, this.#mirror);
    return this.#system;
  }

  #recall(faces: Int32Array, isSeam: Uint8Array): PredictedChart {
    const border = listBorder(this.#mesh, isSeam, faces);
    const key = nameChart(faces, border);
    let chart = this.#known.get(key);
    if (!chart) {
      chart = this.#predictTwin(faces, border) ?? predictChart(this.#mesh, this.#strain, faces, isSeam);
      this.#known.set(key, chart, faces.length);
    }
    return chart;
  }

  /**
   * By the chart's mirror image, if that is the one of lower faces: which of the two was asked for first must not
   * matter where the mesh is mirrored only nearly.
   */
  #predictTwin(faces: Int32Array, border: Int32Array): PredictedChart | undefined {
    if (!this.#mirror) return undefined;
    const { facePartners, edgePartners } = this.#mirror;
    const twinFaces = faces.map((f) => facePartners[f]!).sort();
    if (twinFaces[0]! < 0 || twinFaces[0]! >= faces[0]!) return undefined;
    const isSeam = new Uint8Array(this.#mesh.edgeCount);
    for (const h of border) {
      const partner = edgePartners[this.#mesh.halfEdgeEdges[h]!]!;
      if (partner < 0) return undefined;
      isSeam[partner] = 1;
    }
    return turnOver(this.#recall(twinFaces, isSeam), faces, this.#mirror);
  }
}

/** A chart is told by its border, or by its first face when it has none. */
function nameChart(faces: Int32Array, border: Int32Array): string {
  return `${faces.length}:${faces[0]}:${border.join()}`;
}

/** The prediction for the mirror image of a chart. */
function turnOver(
  chart: PredictedChart,
  faces: Int32Array,
  { facePartners, vertexPartners }: MirroredElements,
): PredictedChart {
  if (!chart.isDisk) return { ...chart, faces };
  const places = new Map<FaceId, number>();
  for (let i = 0; i < faces.length; i++) places.set(facePartners[chart.faces[i]!]!, i);
  return {
    ...chart,
    faces,
    worstFace: facePartners[chart.worstFace]!,
    worstVertex: vertexPartners[chart.worstVertex]!,
    faceEnergies: Float64Array.from(faces, (f) => chart.faceEnergies[places.get(f)!]!),
  };
}

function averageEnergies(
  charts: readonly PredictedChart[],
): Pick<DistortionPrediction, 'energy' | 'energyLow' | 'energyHigh'> {
  let area = 0;
  let energy = 0;
  let energyLow = 0;
  let energyHigh = 0;
  for (const chart of charts) {
    area += chart.surfaceArea;
    energy += chart.surfaceArea * chart.energy;
    energyLow += chart.surfaceArea * chart.energyLow;
    energyHigh += chart.surfaceArea * chart.energyHigh;
  }
  if (charts.some((chart) => !chart.isDisk))
    return { energy: Infinity, energyLow: Infinity, energyHigh: Infinity };
  return { energy: energy / area, energyLow: energyLow / area, energyHigh: energyHigh / area };
}
