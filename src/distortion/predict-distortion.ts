import type { CutMesh, Mesh, SeamEdges } from '../mesh/index.js';
import { cutMesh, extractCharts, isCutHalfEdge, seamMask } from '../mesh/index.js';
import { BoundedMap } from '../structures/index.js';
import type { PredictedChart } from './predict-chart.js';
import { predictChart } from './predict-chart.js';

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
  readonly #known: BoundedMap<string, PredictedChart>;

  constructor(mesh: Mesh) {
    this.#mesh = mesh;
    this.#known = new BoundedMap(KEPT_SETS * mesh.faceCount);
  }

  /** As predictDistortion. */
  predict(seams: readonly SeamEdges[] | CutMesh): DistortionPrediction {
    const cut = 'faceCharts' in seams ? seams : cutMesh(this.#mesh, seamMask(this.#mesh, seams));
    const charts = extractCharts(cut).map((surface) => {
      const key = nameChart(cut, surface.corners);
      let chart = this.#known.get(key);
      if (!chart) {
        chart = predictChart(surface);
        this.#known.set(key, chart, surface.faces.length);
      }
      return chart;
    });
    return { charts, ...averageEnergies(charts) };
  }
}

/** A chart is told by its border, or by its first face when it has none. */
function nameChart(cut: CutMesh, corners: Int32Array): string {
  const border = corners.filter((h) => isCutHalfEdge(cut.mesh, cut.isSeam, h));
  return `${corners.length}:${corners[0]}:${border.join()}`;
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
