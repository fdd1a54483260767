import type { MirroredElements } from '../elements/index.js';
import type { CutMesh, EdgeId, Mesh, SeamEdges } from '../mesh/index.js';
import { cutMesh, groupFacesByChart, nameCharts, requireMesh, seamMask } from '../mesh/index.js';
import { BoundedMap } from '../structures/index.js';
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
 * Predicts for one set of seams after another on the same mesh. A chart that an earlier set had already costs nothing
 * again, and another seam in a chart costs little more than what lies beside it; what was asked before makes no
 * difference to the last bit.
 */
export class DistortionPredictor {
  readonly #mesh: Mesh;
  readonly #mirror: MirroredElements | undefined;
  readonly #known: BoundedMap<string, PredictedChart>;
  readonly #predicted = new WeakMap<CutMesh, DistortionPrediction>();
  readonly #vertexSums: Float64Array;
  #system: StrainSystem | undefined;

  /** @param mirror - halves the work: charts on both sides are predicted alike, and those on the plane in one half */
  constructor(mesh: Mesh, mirror?: MirroredElements) {
    this.#mesh = mesh;
    this.#mirror = mirror;
    this.#vertexSums = new Float64Array(2 * mesh.vertexCount);
    this.#known = new BoundedMap(KEPT_SETS * mesh.faceCount);
  }

  /** As predictDistortion. */
  predict(seams: readonly SeamEdges[] | CutMesh): DistortionPrediction {
    const cut = 'faceCharts' in seams ? seams : cutMesh(this.#mesh, seamMask(this.#mesh, seams));
    let prediction = this.#predicted.get(cut);
    if (!prediction) {
      const { offsets, faces } = groupFacesByChart(cut);
      const charts = nameCharts(cut).map((name, i) => {
        const own = faces.slice(offsets[i]!, offsets[i + 1]!);
        const chart = this.#known.get(name) ?? this.#predictChart(own, cut.isSeam);
        this.#known.set(name, chart, own.length);
        return chart;
      });
      prediction = { charts, ...averageEnergies(charts) };
      this.#predicted.set(cut, prediction);
    }
    return prediction;
  }

  #predictChart(faces: Int32Array, isSeam: Uint8Array): PredictedChart {
    const strain = this.#strain.solve(faces, isSeam);
    return predictChart(this.#mesh, faces, this.#strain.measureArea(faces), strain, this.#vertexSums);
  }

  /**
   * Energy times area that a dead end of seams is expected to save in a patch of a chart, which is not remembered;
   * undefined where the patch is no disk with the dead end or without.
   *
   * @param faces - connected without crossing a seam, ascending
   * @param isSeam - 1 per edge that is cut
   * @param edges - the dead end, with its mirror image where there is one
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
