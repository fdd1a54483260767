import type { Mesh } from '../mesh/index.js';
import { computeEdgeLengths } from '../mesh/index.js';

/** What a seam along an edge costs per unit of length; a house style is a set of these. */
export interface CostWeights {
  /** Cost of an edge that nobody sees, so that length counts everywhere. */
  readonly length: number;
  /** Share of the directions all round that see the edge. */
  readonly exposure: number;
  /** The same from the front. */
  readonly frontExposure: number;
  /** Discount for a crease or fold, 0..1, at a right angle and more. */
  readonly concavity: number;
}

export const COST_WEIGHTS: Readonly<CostWeights> = Object.freeze({
  length: 0.05,
  exposure: 0.7,
  frontExposure: 0.4,
  concavity: 0.35,
});

export interface CostFields {
  /** Exposure from all round and from the front, 0..1 per edge. */
  readonly exposure: Float64Array;
  readonly frontExposure: Float64Array;
  /** 0..1 per edge, 1 for the sharpest folds inwards. */
  readonly concavity: Float64Array;
  /** Factor per edge for places where a seam is out of place or drawn in; 1 is neutral. */
  readonly edgeFactors?: Float64Array;
}

/** Cost of a seam along each edge, in model units of fully exposed length. */
export function computeEdgeCosts(
  mesh: Mesh,
  fields: CostFields,
  weights: CostWeights = COST_WEIGHTS,
): Float64Array {
  const lengths = computeEdgeLengths(mesh);
  const shortest = 1e-7 * mesh.diagonal;
  return lengths.map((length, e) => {
    const seen =
      weights.length +
      weights.exposure * fields.exposure[e]! +
      weights.frontExposure * fields.frontExposure[e]!;
    const fold = 1 - weights.concavity * fields.concavity[e]!;
    return Math.max(length, shortest) * seen * fold * (fields.edgeFactors?.[e] ?? 1);
  });
}
