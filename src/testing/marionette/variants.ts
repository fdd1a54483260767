import { seededRandom } from '../seeded-random.js';
import type { MarionetteOptions, MarionetteProportions } from './options.js';
import { POSE_NAMES } from './options.js';

const RANGES: Readonly<Record<keyof MarionetteProportions, readonly [number, number]>> = {
  headSize: [0.85, 1.6],
  neckSize: [0.8, 1.3],
  legLength: [0.75, 1.2],
  armLength: [0.8, 1.2],
  shoulderWidth: [0.88, 1.2],
  hipWidth: [0.88, 1.15],
  girth: [0.8, 1.35],
  handSize: [0.9, 1.5],
  footSize: [0.9, 1.4],
};

export interface VariantOptions {
  /** @defaultValue 1 */
  readonly seed?: number;
  /** Faces of the coarsest. @defaultValue 700 */
  readonly least?: number;
  /** Faces of the finest. @defaultValue 6000 */
  readonly most?: number;
  /** Whether some have ears, horns, wings and a tail. @defaultValue false */
  readonly hasCreatures?: boolean;
}

/**
 * Options of `count` different marionettes, the same for the same seed: every pose in turn, sizes from
 * `least` to `most` faces (evenly in the logarithm), proportions at random, and the switches on and off.
 */
export function marionetteVariants(
  count: number,
  { seed = 1, least = 700, most = 6000, hasCreatures = false }: VariantOptions = {},
): MarionetteOptions[] {
  const random = seededRandom(seed);
  return Array.from({ length: count }, (_, i) => {
    const share = count > 1 ? ((i * 7) % count) / (count - 1) : 0;
    const proportions = Object.fromEntries(
      Object.entries(RANGES).map(([name, [low, high]]) => [name, i === 0 ? 1 : random.between(low, high)]),
    ) as MarionetteProportions;
    return {
      faces: Math.round(least * (most / least) ** Math.min(1, share)),
      pose: POSE_NAMES[i % POSE_NAMES.length]!,
      proportions,
      hasFingers: i % 4 !== 3,
      hasToes: i % 3 !== 2,
      hasTunic: i % 5 === 4,
      hasEyes: i % 3 === 1,
      hasMouthBag: i % 7 === 5,
      hasEars: hasCreatures && i % 3 === 0,
      hasHorns: hasCreatures && i % 4 === 1,
      hasTail: hasCreatures && i % 2 === 0,
      hasWings: hasCreatures && i % 5 === 3,
      buttons: i % 5 === 4 ? random.integer(1, 5) : 0,
      isTriangulated: i % 4 === 2,
      jitter: i % 6 === 5 ? 0.0008 : 0,
      seed: seed + i,
    };
  });
}
