import { InvalidMeshError } from '../errors.js';
import type { Vec3 } from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import { isUvSeam, studyMesh } from '../proposing/index.js';
import type { CostWeights } from '../seams/index.js';
import { COST_WEIGHTS } from '../seams/index.js';
import { LearningGround } from './learning-ground.js';
import { rankPaths } from './rank-paths.js';

/** A finished character to learn from. */
export interface ProfileExample {
  readonly mesh: Mesh;
  /** UVs of every corner, 2 × cornerCount; NaN where a corner has none. */
  readonly cornerUvs: ArrayLike<number>;
  /** The model's up axis. @defaultValue [0, 1, 0] */
  readonly up?: Vec3;
  /** The way the model faces. @defaultValue [0, 0, 1] */
  readonly front?: Vec3;
  /** Whether both sides count alike where the surface has a mirror plane. @defaultValue true */
  readonly mirror?: boolean;
}

/** A house style: four numbers, ready for JSON, that `proposeSeams` takes as `profile`. */
export type Profile = CostWeights;

/** How strongly the discount for folds is drawn to the default, against the loss of the fit. */
const CONCAVITY_PULL = 0.3;
/** No seam is free, however well hidden. */
const LEAST_LENGTH = 0.02;
/** The discounts for folds that are tried; the weights are fitted under each. */
const CONCAVITIES = [0, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95];
/** How often the paths that the fitted weights prefer are added to the rivals. */
const ROUNDS = 3;

/** What first rivals are cheapest under: the default, and each weight by itself. */
const STARTS: readonly CostWeights[] = [
  COST_WEIGHTS,
  { length: 1, exposure: 0, frontExposure: 0, concavity: 0 },
  { length: 1, exposure: 0, frontExposure: 0, concavity: 0.8 },
  { length: 0.05, exposure: 1, frontExposure: 0, concavity: 0 },
  { length: 0.05, exposure: 1, frontExposure: 0, concavity: 0.8 },
  { length: 0.05, exposure: 0, frontExposure: 1, concavity: 0 },
  { length: 0.05, exposure: 0, frontExposure: 1, concavity: 0.8 },
  { length: 0.3, exposure: 0.3, frontExposure: 0.3, concavity: 0.5 },
];

/**
 * Learns a house style from finished characters: weights of the seams' costs under which the seams that open
 * the artist's charts are cheaper than the cheapest others that join the same seams within the same chart.
 * Seams on the mirror plane tell nothing, since there is no choice there; and closed seams little, since they
 * lie where a joint or a lid is (ranked over loops near by, they drew the weights from exposure to length and
 * away from the artists). The fewer and the less clear the examples, the nearer the result stays to the
 * default; with none it is the default.
 *
 * Measured on seven characters, each learnt from the other six: the nearest set lies 14 % nearer to the
 * artist's seams than under the default, and on none further away.
 *
 * @returns weights; their sum but for concavity is about that of the defaults
 * @throws UV_INVALID when an example has not two UV numbers per corner, OPTION_INVALID for bad axes
 *
 * @example
 * const profile = learnProfile([{ mesh, cornerUvs }]);
 * const proposal = await proposeSeams(other, { profile });
 */
export function learnProfile(examples: readonly ProfileExample[]): Profile {
  const grounds = examples.map(prepareExample);
  for (const weights of STARTS) for (const ground of grounds) ground.addRivals(weights);
  let profile = fitProfile(grounds);
  for (let round = 1; round < ROUNDS; round++) {
    const added = grounds.map((ground) => ground.addRivals(profile));
    if (!added.some((isNew) => isNew)) break;
    profile = fitProfile(grounds);
  }
  return profile;
}

function fitProfile(grounds: readonly LearningGround[]): Profile {
  const prior = [COST_WEIGHTS.length, COST_WEIGHTS.exposure, COST_WEIGHTS.frontExposure];
  let best: Profile = COST_WEIGHTS;
  let least = Infinity;
  for (const concavity of CONCAVITIES) {
    const comparisons = grounds.flatMap((ground) => ground.compare(concavity));
    const fit = rankPaths(comparisons, prior);
    const loss = fit.loss + CONCAVITY_PULL * (concavity - COST_WEIGHTS.concavity) ** 2;
    if (loss >= least) continue;
    least = loss;
    const [length, exposure, frontExposure] = fit.weights as [number, number, number];
    best = { length: Math.max(length, LEAST_LENGTH), exposure, frontExposure, concavity };
  }
  return best;
}

function prepareExample(example: ProfileExample, i: number): LearningGround {
  const { mesh, cornerUvs, up, front, mirror } = example;
  if (cornerUvs.length !== 2 * mesh.cornerCount) {
    throw new InvalidMeshError(
      'UV_INVALID',
      `learnProfile: example ${i} has ${cornerUvs.length} UV numbers, expected two per corner, ${2 * mesh.cornerCount}`,
      { example: i },
    );
  }
  const study = studyMesh(mesh, {
    ...(up && { up }),
    ...(front && { front }),
    symmetry: mirror === false ? 'off' : 'auto',
  });
  const isSeam = Uint8Array.from(study.canonical.edges, (e) => Number(isUvSeam(mesh, cornerUvs, e)));
  return new LearningGround(study, isSeam);
}
