import { computeCurvature } from '../fields/index.js';
import { buildSpokes, FlowSearch } from '../graph/index.js';
import type { EdgeId } from '../mesh/index.js';
import { edgeFaces } from '../mesh/index.js';
import type { Study } from '../proposing/index.js';
import type { CostFields, CostWeights } from '../seams/index.js';
import { COST_WEIGHTS, computeEdgeCosts } from '../seams/index.js';
import type { PathComparison } from './rank-paths.js';
import type { TrueOpening } from './true-openings.js';
import { findTrueOpenings } from './true-openings.js';

/** A true opening with other ways of doing its job, by their sorted edges. */
interface Contest {
  readonly opening: TrueOpening;
  readonly key: string;
  readonly length: number;
  readonly rivals: Map<string, readonly EdgeId[]>;
}

/** Rivals shorter than this share of the true seam do not do its job: a hand opened finger by finger is no detour. */
const SHORTEST_RIVAL = 0.5;

/** Cost components that the weights multiply, in the order of the weights. */
const COMPONENTS: readonly Omit<CostWeights, 'concavity'>[] = [
  { length: 1, exposure: 0, frontExposure: 0 },
  { length: 0, exposure: 1, frontExposure: 0 },
  { length: 0, exposure: 0, frontExposure: 1 },
];
const PRIOR = [COST_WEIGHTS.length, COST_WEIGHTS.exposure, COST_WEIGHTS.frontExposure];

/** One finished character, on its canonical mesh: its openings, and the rivals found for them. */
export class LearningGround {
  readonly #study: Study;
  readonly #fields: CostFields;
  readonly #places: Float64Array;
  readonly #contests: readonly Contest[];
  readonly #faceCharts: Int32Array;
  readonly #isSeam: Uint8Array;

  constructor(study: Study, isSeam: Uint8Array) {
    const { mesh, exposure, frontExposure } = study;
    this.#study = study;
    this.#isSeam = isSeam;
    this.#fields = { exposure, frontExposure, concavity: computeCurvature(mesh).edgeConcavity };
    const plain = computeEdgeCosts(mesh, this.#fields);
    this.#places = study.ground.edgeCosts.map((cost, e) => cost / plain[e]!);
    const { openings, faceCharts } = findTrueOpenings(mesh, isSeam);
    this.#faceCharts = faceCharts;
    const partners = study.mirror?.edgePartners;
    this.#contests = openings
      .filter(({ edges }) => !edges.every((e) => partners?.[e] === e))
      .map((opening) => ({
        opening,
        key: keyOf(opening.edges),
        length: this.#length(opening.edges),
        rivals: new Map(),
      }));
  }

  /** Adds what would be cheapest in each opening's stead; false when nothing is new. */
  addRivals(weights: CostWeights): boolean {
    const { mesh, ground } = this.#study;
    // Rivals keep away from the places that all seams keep away from, such as the face.
    const costs = computeEdgeCosts(mesh, { ...this.#fields, edgeFactors: this.#places }, weights);
    const search = new FlowSearch(buildSpokes(mesh, ground.cornerAngles), costs);
    let isNew = false;
    for (const { opening, key, length, rivals } of this.#contests) {
      const rival = this.#findRival(search, opening);
      if (!rival || this.#length(rival) < SHORTEST_RIVAL * length) continue;
      const rivalKey = keyOf(rival);
      if (rivalKey === key || rivals.has(rivalKey)) continue;
      rivals.set(rivalKey, rival);
      isNew = true;
    }
    return isNew;
  }

  /**
   * Every opening against each of its rivals, per cost component. Turns are left out: the weights say where
   * a seam lies, not how straight it is.
   */
  compare(concavity: number): PathComparison[] {
    const components = COMPONENTS.map((weights) =>
      computeEdgeCosts(this.#study.mesh, this.#fields, { ...weights, concavity }),
    );
    const costsOf = (edges: readonly EdgeId[]) =>
      components.map((costs) => edges.reduce((sum, e) => sum + costs[e]!, 0));
    const total = this.#contests.reduce((sum, { length }) => sum + length, 0);
    return this.#contests.flatMap(({ opening, length, rivals }) => {
      const own = new Set(opening.edges);
      const ownCosts = costsOf(opening.edges);
      return [...rivals.values()].map((rival): PathComparison => {
        const costs = costsOf(rival);
        const scale = PRIOR.reduce((sum, w, k) => sum + (w * (costs[k]! + ownCosts[k]!)) / 2, 0);
        return {
          excess: costs.map((cost, k) => (cost - ownCosts[k]!) / scale),
          difference: this.#length(rival.filter((e) => !own.has(e))) / this.#length(rival),
          importance: length / total / rivals.size,
        };
      });
    });
  }

  #length(edges: readonly EdgeId[]): number {
    return edges.reduce((sum, e) => sum + this.#study.edgeLengths[e]!, 0);
  }

  #findRival(search: FlowSearch, { sources, targets, chart, edges }: TrueOpening): EdgeId[] | undefined {
    const own = new Set(edges);
    const goals = new Set(targets);
    const starts = new Set(sources);
    const path = search.find({
      sources,
      isTarget: (v) => goals.has(v),
      isBlocked: (v) => starts.has(v),
      isEdgeBlocked: (e) => {
        const [f, g] = edgeFaces(this.#study.mesh, e);
        return !own.has(e) && (g < 0 || this.#isSeam[e] === 1 || this.#faceCharts[f] !== chart);
      },
    });
    return path?.edges;
  }
}

const keyOf = (edges: readonly EdgeId[]): string => [...edges].sort((a, b) => a - b).join();
