import type { FaceId, Mesh, VertexId } from '../mesh/index.js';
import { estimateEnergy } from './predict-model.js';
import type { ChartStrain, StrainSystem } from './predict-strain.js';

/** Largest logarithm of an area factor that is believed. */
const GROWTH_LIMIT = 5;

/** What flattening a chart is expected to cost. */
export interface PredictedChart {
  /** The caller's faces, ascending. */
  readonly faces: Int32Array;
  /** Squared model units. */
  readonly surfaceArea: number;
  /** A chart that is no disk cannot be flattened: its energy is Infinity, and its worst spot and faces are unknown. */
  readonly isDisk: boolean;
  /** Area-weighted mean symmetric Dirichlet energy of the map that has least of it, at its best scale; 4 is isometry. */
  readonly energy: number;
  /** Nine charts of ten are measured between these. */
  readonly energyLow: number;
  readonly energyHigh: number;
  /** Area-weighted mean of max(s, 1/s), s the area ratio over its mean; 1 is equal area. */
  readonly areaSpread: number;
  /** Face of most energy, -1 when unknown. */
  readonly worstFace: FaceId;
  /** Vertex of the mesh whose faces in the chart have most energy, -1 when unknown: where a relief cut would help most. */
  readonly worstVertex: VertexId;
  /** Energy expected at each of `faces`; empty when unknown. */
  readonly faceEnergies: Float64Array;
}

/**
 * Predicts the distortion of a chart without flattening it.
 *
 * One sparse factorisation; see StrainSystem for the theory and estimateEnergy for what is fitted.
 *
 * @param faces - connected without crossing a seam, ascending
 * @param isSeam - 1 per edge that is cut
 */
export function predictChart(
  mesh: Mesh,
  system: StrainSystem,
  faces: Int32Array,
  isSeam: Uint8Array,
): PredictedChart {
  const surfaceArea = system.measureArea(faces);
  const strain = system.solve(faces, isSeam);
  if (!strain) return { ...NO_DISK, faces, surfaceArea };
  const { excess, low, high } = estimateEnergy(strain);
  // Strain follows the energy's square root where the linear theory says too much.
  const ratio = strain.energy > 0 ? excess / strain.energy : 0;
  const faceEnergies = strain.faceEnergies.map((energy) => 4 + ratio * energy);
  return {
    faces,
    surfaceArea,
    isDisk: true,
    energy: 4 + excess,
    energyLow: 4 + low,
    energyHigh: 4 + high,
    areaSpread: measureSpread(strain, Math.sqrt(ratio)),
    worstFace: faces[indexOfMost(faceEnergies)]!,
    worstVertex: findWorstVertex(mesh, faces, strain),
    faceEnergies,
  };
}

const NO_DISK = {
  isDisk: false,
  energy: Infinity,
  energyLow: Infinity,
  energyHigh: Infinity,
  areaSpread: Infinity,
  worstFace: -1,
  worstVertex: -1,
  faceEnergies: new Float64Array(0),
} as const;

function measureSpread({ faceGrowth, faceWeights }: ChartStrain, factor: number): number {
  let mean = 0;
  for (let f = 0; f < faceGrowth.length; f++) mean += faceWeights[f]! * faceGrowth[f]!;
  let spread = 0;
  for (let f = 0; f < faceGrowth.length; f++)
    spread += faceWeights[f]! * Math.exp(Math.min(GROWTH_LIMIT, factor * Math.abs(faceGrowth[f]! - mean)));
  return spread;
}

function findWorstVertex(
  mesh: Mesh,
  faces: Int32Array,
  { faceEnergies, faceWeights }: ChartStrain,
): VertexId {
  const sums = new Map<VertexId, { energy: number; weight: number }>();
  for (let i = 0; i < faces.length; i++) {
    for (let c = mesh.faceOffsets[faces[i]!]!; c < mesh.faceOffsets[faces[i]! + 1]!; c++) {
      const v = mesh.cornerVertices[c]!;
      let sum = sums.get(v);
      if (!sum) {
        sum = { energy: 0, weight: 0 };
        sums.set(v, sum);
      }
      sum.energy += faceWeights[i]! * faceEnergies[i]!;
      sum.weight += faceWeights[i]!;
    }
  }
  let worst: VertexId = -1;
  let most = -Infinity;
  for (const [v, { energy, weight }] of sums) {
    if (energy / weight <= most) continue;
    worst = v;
    most = energy / weight;
  }
  return worst;
}

function indexOfMost(values: Float64Array): number {
  let most = 0;
  for (let i = 1; i < values.length; i++) if (values[i]! > values[most]!) most = i;
  return most;
}
