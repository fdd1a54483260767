import type { FaceId, Mesh, VertexId } from '../mesh/index.js';
import { estimateEnergy } from './predict-model.js';
import type { ChartStrain } from './predict-strain.js';

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
 * Predicts the distortion of a chart from its strain, undefined where it is no disk; see StrainSystem for the theory and
 * estimateEnergy for what is fitted.
 *
 * @param faces - ascending
 * @param surfaceArea - squared model units
 * @param vertexSums - scratch: two numbers per vertex of the mesh, all 0
 */
export function predictChart(
  mesh: Mesh,
  faces: Int32Array,
  surfaceArea: number,
  strain: ChartStrain | undefined,
  vertexSums: Float64Array,
): PredictedChart {
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
    worstVertex: findWorstVertex(mesh, faces, strain, vertexSums),
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

/** @param sums - two numbers per vertex of the mesh, all 0 before and after */
function findWorstVertex(
  { faceOffsets, cornerVertices }: Mesh,
  faces: Int32Array,
  { faceEnergies, faceWeights }: ChartStrain,
  sums: Float64Array,
): VertexId {
  for (let i = 0; i < faces.length; i++)
    for (let c = faceOffsets[faces[i]!]!; c < faceOffsets[faces[i]! + 1]!; c++) {
      sums[2 * cornerVertices[c]!]! += faceWeights[i]! * faceEnergies[i]!;
      sums[2 * cornerVertices[c]! + 1]! += faceWeights[i]!;
    }
  let worst: VertexId = -1;
  let most = -Infinity;
  for (const f of faces)
    for (let c = faceOffsets[f]!; c < faceOffsets[f + 1]!; c++) {
      const v = cornerVertices[c]!;
      const energy = sums[2 * v]! / sums[2 * v + 1]!;
      sums[2 * v] = sums[2 * v + 1] = 0;
      if (!(energy > most)) continue;
      worst = v;
      most = energy;
    }
  return worst;
}

function indexOfMost(values: Float64Array): number {
  let most = 0;
  for (let i = 1; i < values.length; i++) if (values[i]! > values[most]!) most = i;
  return most;
}
