import { InvalidMeshError } from '../errors.js';
import { computeCurvature, GeodesicSolver } from '../fields/index.js';
import type { Spokes } from '../graph/index.js';
import { buildSpokes, FlowSearch, turnAngle } from '../graph/index.js';
import type { Vec3 } from '../math/index.js';
import type { Mesh, VertexId } from '../mesh/index.js';
import { edgeFaces } from '../mesh/index.js';
import type { CostWeights } from '../seams/index.js';
import { COST_WEIGHTS, computeEdgeCosts, findCollar } from '../seams/index.js';
import type { PathComparison } from './rank-paths.js';
import { rankPaths } from './rank-paths.js';
import type { Study } from './study-mesh.js';
import { studyMesh } from './study-mesh.js';
import type { SeamPath, TrueCollar, TrueOpening } from './true-paths.js';
import { findTruePaths } from './true-paths.js';
import { isUvSeam } from './uv-seams.js';

/** A finished character to learn from. */
export interface ProfileExample {
  readonly mesh: Mesh;
  /** UVs of every corner, 2 × cornerCount, NaN where a corner has none. */
  readonly cornerUvs: ArrayLike<number>;
  /** @defaultValue [0, 1, 0] */
  readonly up?: Vec3;
  /** @defaultValue [0, 0, 1] */
  readonly front?: Vec3;
  /** Whether both sides count alike where the surface has a mirror plane. @defaultValue true */
  readonly mirror?: boolean;
}

/** A house style: plain numbers, ready for JSON, that `proposeSeams` takes as its profile. */
export type Profile = CostWeights;

/** Cost of a right-angled turn, as the seam search has it. */
const TURN_WEIGHT = 4;
const MTURN = +((globalThis as any).MTURN ?? 4);
const CONCAVITIES = [0, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95];
const PULL = +(globalThis as any).PULL || 0.02;
const CONCAVITY_PULL = +(globalThis as any).CPULL || 0.002;
const ROUNDS = 3;
const SHORTEST_RIVAL = 0.5;
const REACH = 0.16;

export function learnProfile(examples: readonly ProfileExample[]): Profile {
  const grounds = examples.map(prepareExample);
  const prior = PRIOR;
  let profile: Profile = COST_WEIGHTS;
  const tried: Profile[] = STARTS;
  for (const start of tried) for (const ground of grounds) ground.addRivals(start);
  for (let round = 0; round < ROUNDS; round++) {
    let least = Infinity;
    for (const concavity of CONCAVITIES) {
      const comparisons = grounds.flatMap((ground) => ground.compare(concavity));
      const fit = rankPaths(comparisons, prior, PULL);
      const loss = fit.loss + CONCAVITY_PULL * (concavity - COST_WEIGHTS.concavity) ** 2;
      if ((globalThis as any).LDBG)
        console.log(
          round,
          concavity,
          fit.loss.toFixed(5),
          fit.weights.map((x) => x.toFixed(3)).join(' '),
          comparisons.length,
        );
      if (loss >= least) continue;
      least = loss;
      const [length, exposure, frontExposure] = fit.weights as [number, number, number];
      profile = { length, exposure, frontExposure, concavity };
    }
    let isNew = false;
    for (const ground of grounds) if (ground.addRivals(profile)) isNew = true;
    if (!isNew) break;
  }
  return profile;
}

const PRIOR = [COST_WEIGHTS.length, COST_WEIGHTS.exposure, COST_WEIGHTS.frontExposure];
const STARTS: Profile[] = [
  COST_WEIGHTS,
  { length: 1, exposure: 0, frontExposure: 0, concavity: 0 },
  { length: 0.05, exposure: 1, frontExposure: 0, concavity: 0 },
  { length: 0.05, exposure: 0, frontExposure: 1, concavity: 0 },
  { length: 0.05, exposure: 1, frontExposure: 0, concavity: 0.8 },
  { length: 0.05, exposure: 0, frontExposure: 1, concavity: 0.8 },
  { length: 1, exposure: 0, frontExposure: 0, concavity: 0.8 },
  { length: 0.3, exposure: 0.3, frontExposure: 0.3, concavity: 0.5 },
];

interface Rivalry {
  readonly path: TrueOpening | TrueCollar;
  readonly length: number;
  readonly rivals: Map<string, SeamPath>;
}

class LearningGround {
  readonly mesh: Mesh;
  readonly #study: Study;
  readonly #spokes: Spokes;
  readonly #concavity: Float64Array;
  readonly #factors: Float64Array;
  readonly rivalries: Rivalry[];
  readonly #faceCharts: Int32Array;
  readonly #isSeam: Uint8Array;
  readonly #solver: GeodesicSolver;

  constructor(study: Study, isSeam: Uint8Array) {
    this.#study = study;
    this.mesh = study.mesh;
    this.#isSeam = isSeam;
    this.#solver = new GeodesicSolver(study.mesh, 'edges');
    this.#spokes = buildSpokes(study.mesh, study.ground.cornerAngles);
    this.#concavity = computeCurvature(study.mesh).edgeConcavity;
    const plain = computeEdgeCosts(study.mesh, { ...study, concavity: this.#concavity });
    this.#factors = study.ground.edgeCosts.map((cost, e) => cost / plain[e]!);
    const { paths, faceCharts } = findTruePaths(study.mesh, isSeam);
    this.#faceCharts = faceCharts;
    const partners = study.mirror?.edgePartners;
    this.rivalries = paths
      .filter(({ edges, kind }) => kind === 'collar' || !edges.every((e) => partners?.[e] === e))
      .map((path) => ({
        path,
        length: path.edges.reduce((sum, e) => sum + study.edgeLengths[e]!, 0),
        rivals: new Map(),
      }));
  }

  costs(weights: CostWeights): Float64Array {
    return computeEdgeCosts(
      this.mesh,
      { ...this.#study, concavity: this.#concavity, edgeFactors: this.#factors },
      weights,
    );
  }

  addRivals(weights: CostWeights): boolean {
    const costs = this.costs(weights);
    const search = new FlowSearch(this.#spokes, costs, TURN_WEIGHT);
    let isNew = false;
    for (const { path, length, rivals } of this.rivalries) {
      const found =
        path.kind === 'opening' ? this.#findOpening(search, path) : this.#findCollar(costs, path, length);
      if (!found) continue;
      if (found.edges.reduce((sum, e) => sum + this.#study.edgeLengths[e]!, 0) < SHORTEST_RIVAL * length)
        continue;
      const key = [...found.edges].sort((a, b) => a - b).join();
      if (rivals.has(key) || key === [...path.edges].sort((a, b) => a - b).join()) continue;
      rivals.set(key, found);
      isNew = true;
    }
    return isNew;
  }

  #findOpening(search: FlowSearch, { sources, targets, chart, edges }: TrueOpening) {
    const goals = new Set(targets);
    const own = new Set(edges);
    const isSource = new Set(sources);
    return search.find({
      sources,
      isTarget: (v) => goals.has(v),
      isBlocked: (v) => isSource.has(v),
      isEdgeBlocked: (e) => {
        if (own.has(e)) return false;
        const [f, g] = edgeFaces(this.mesh, e);
        return g < 0 || this.#isSeam[e] === 1 || this.#faceCharts[f] !== chart;
      },
    });
  }

  #findCollar(costs: Float64Array, { isBranch, vertices }: TrueCollar, length: number) {
    const reach = REACH * length;
    const distances = this.#solver.solve(vertices, reach);
    const faces: number[] = [];
    for (let f = 0; f < this.mesh.faceCount; f++) {
      for (let c = this.mesh.faceOffsets[f]!; c < this.mesh.faceOffsets[f + 1]!; c++) {
        if (distances[this.mesh.cornerVertices[c]!]! > reach) continue;
        faces.push(f);
        break;
      }
    }
    const mirror = this.#study.ground.mirror;
    return findCollar({ ...this.#study.ground, edgeCosts: costs, mirror }, { faces, isBranch });
  }

  compare(concavity: number): PathComparison[] {
    const components = UNIT_WEIGHTS.map((weights) =>
      computeEdgeCosts(this.mesh, { ...this.#study, concavity: this.#concavity }, { ...weights, concavity }),
    );
    const total = this.rivalries.reduce((sum, { length }) => sum + length, 0);
    return this.rivalries.flatMap(({ path, length, rivals }) => {
      const own = new Set(path.edges);
      const ownCosts = components.map((costs) => this.measure(path, costs));
      const sumOf = (costs: readonly number[]) => PRIOR.reduce((sum, w, k) => sum + w * costs[k]!, 0);
      return [...rivals.values()].map((rival): PathComparison => {
        let apart = 0;
        let all = 0;
        for (const e of rival.edges) {
          all += this.#study.edgeLengths[e]!;
          if (!own.has(e)) apart += this.#study.edgeLengths[e]!;
        }
        const costs = components.map((c) => this.measure(rival, c));
        const scale = (sumOf(costs) + sumOf(ownCosts)) / 2;
        return {
          excess: costs.map((cost, k) => (cost - ownCosts[k]!) / scale),
          difference: apart / all,
          importance: length / total / rivals.size,
        };
      });
    });
  }

  /** Cost of a path with its turns. */
  measure({ edges, vertices }: SeamPath, costs: Float64Array): number {
    const spokes = edges.map((e, i) => this.#spoke(vertices[i]!, e));
    let sum = 0;
    spokes.forEach((spoke, i) => {
      const cost = costs[edges[i]!]!;
      sum += cost;
      if (i === 0) return;
      const turn = turnAngle(this.#spokes, spokes[i - 1]!, spoke) / (Math.PI / 2);
      sum += MTURN * 0.5 * (cost + costs[edges[i - 1]!]!) * turn * turn;
    });
    return sum;
  }

  #spoke(v: VertexId, e: number): number {
    const { offsets, edges } = this.#spokes;
    for (let s = offsets[v]!; s < offsets[v + 1]!; s++) if (edges[s] === e) return s;
    return -1;
  }
}

const UNIT_WEIGHTS = [
  { length: 1, exposure: 0, frontExposure: 0 },
  { length: 0, exposure: 1, frontExposure: 0 },
  { length: 0, exposure: 0, frontExposure: 1 },
] as const;

export function prepareExample(example: ProfileExample, i: number): LearningGround {
  const { mesh, cornerUvs, mirror, ...axes } = example;
  if (cornerUvs.length !== 2 * mesh.cornerCount) {
    throw new InvalidMeshError(
      'UV_INVALID',
      `learnProfile: example ${i} has ${cornerUvs.length} UV numbers, expected two per corner, ${2 * mesh.cornerCount}`,
      { example: i },
    );
  }
  const study = studyMesh(mesh, { ...axes, symmetry: mirror === false ? 'off' : 'auto' });
  const isSeam = Uint8Array.from(study.canonical.edges, (e) => Number(isUvSeam(mesh, cornerUvs, e)));
  return new LearningGround(study, isSeam);
}
