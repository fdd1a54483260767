import { buildRestTriangles } from '../flattening/index.js';
import type { ChartSurface, FaceId, VertexId } from '../mesh/index.js';
import { estimateEnergy } from './predict-model.js';
import type { ChartStrain } from './predict-strain.js';
import { computeChartStrain } from './predict-strain.js';

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
  /** Vertex of the mesh whose faces have most energy, -1 when unknown: where a relief cut would help most. */
  readonly worstVertex: VertexId;
  /** Energy expected at each of `faces`; empty when unknown. */
  readonly faceEnergies: Float64Array;
}

/**
 * Predicts the distortion of a chart without flattening it.
 *
 * One sparse factorisation; see computeChartStrain for the theory and estimateEnergy for what is fitted.
 */
export function predictChart(surface: ChartSurface): PredictedChart {
  if (!isDisk(surface)) return notDisk(surface);
  const strain = computeChartStrain(surface);
  const { excess, low, high } = estimateEnergy(strain);
  // Strain follows the energy's square root where the linear theory says too much.
  const ratio = strain.energy > 0 ? excess / strain.energy : 0;
  const faceEnergies = strain.faceEnergies.map((energy) => 4 + ratio * energy);
  return {
    faces: surface.faces,
    surfaceArea: strain.surfaceArea,
    isDisk: true,
    energy: 4 + excess,
    energyLow: 4 + low,
    energyHigh: 4 + high,
    areaSpread: measureSpread(strain, Math.sqrt(ratio)),
    worstFace: surface.faces[indexOfMost(faceEnergies)]!,
    worstVertex: surface.meshVertices[findWorstVertex(surface, strain)]!,
    faceEnergies,
  };
}

function measureSpread({ faceGrowth, faceWeights }: ChartStrain, factor: number): number {
  let mean = 0;
  for (let f = 0; f < faceGrowth.length; f++) mean += faceWeights[f]! * faceGrowth[f]!;
  let spread = 0;
  for (let f = 0; f < faceGrowth.length; f++)
    spread += faceWeights[f]! * Math.exp(Math.min(GROWTH_LIMIT, factor * Math.abs(faceGrowth[f]! - mean)));
  return spread;
}

function findWorstVertex(surface: ChartSurface, { faceEnergies, faceWeights }: ChartStrain): number {
  const sums = new Float64Array(surface.vertexCount);
  const weights = new Float64Array(surface.vertexCount);
  for (let f = 0; f < faceEnergies.length; f++) {
    for (let c = surface.faceOffsets[f]!; c < surface.faceOffsets[f + 1]!; c++) {
      sums[surface.cornerVertices[c]!]! += faceWeights[f]! * faceEnergies[f]!;
      weights[surface.cornerVertices[c]!]! += faceWeights[f]!;
    }
  }
  return indexOfMost(sums.map((sum, v) => sum / weights[v]!));
}

function indexOfMost(values: Float64Array): number {
  let most = 0;
  for (let i = 1; i < values.length; i++) if (values[i]! > values[most]!) most = i;
  return most;
}

/** One border loop, of three sides at least, and V − E + F = 1; a side has two faces or lies on the border. */
function isDisk(surface: ChartSurface): boolean {
  const [loop, ...others] = surface.borderLoops;
  if (!loop || loop.length < 3 || others.length > 0) return false;
  const sideCount = (surface.cornerVertices.length + loop.length) / 2;
  return surface.vertexCount - sideCount + surface.faces.length === 1;
}

function notDisk(surface: ChartSurface): PredictedChart {
  return {
    faces: surface.faces,
    surfaceArea: buildRestTriangles(surface).unit ** 2,
    isDisk: false,
    energy: Infinity,
    energyLow: Infinity,
    energyHigh: Infinity,
    areaSpread: Infinity,
    worstFace: -1,
    worstVertex: -1,
    faceEnergies: new Float64Array(0),
  };
}
