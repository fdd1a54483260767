import fc from 'fast-check';
import type { Mesh, MeshInput } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import type { Proposal, ProposeOptions } from '../../src/proposing/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import type { MarionetteOptions, PlainMesh } from '../../src/testing/index.js';
import { jitterMesh, makeMarionette, marionetteVariants, meshArbitraries } from '../../src/testing/index.js';
import type { Figure } from './figures.js';
import { figures } from './figures.js';

/** Cases of a law: a thousand with SEAMWRIGHT_LONG=1, else a sample that takes seconds. */
export const lawRuns = (sample: number): number => (process.env['SEAMWRIGHT_LONG'] ? 1000 : sample);

export const meshes = meshArbitraries(fc);
export const seeds = fc.integer({ min: 0, max: 0x7fffffff });

/** Marionettes of any proportions, poses and dress; noise only where `hasNoise`. */
export const marionettes = (hasNoise: boolean): fc.Arbitrary<MarionetteOptions> =>
  fc.tuple(seeds, fc.nat(11)).map(([seed, i]) => {
    const options = marionetteVariants(12, { seed, least: 600, most: 900, hasCreatures: true })[i]!;
    return hasNoise ? options : { ...options, jitter: 0 };
  });

/** Characters that are the same on both sides: marionettes in any pose, and more of small figures. */
export const evenCharacters = (): fc.Arbitrary<Figure> =>
  fc.oneof(
    { weight: 1, arbitrary: marionettes(false).map(makeMarionette) },
    { weight: 3, arbitrary: figures() },
  );

/** Characters of any kind, each with noise or without. */
export const characters = (): fc.Arbitrary<PlainMesh> =>
  fc.oneof(
    { weight: 1, arbitrary: marionettes(true).map((options) => makeMarionette(options).mesh) },
    {
      weight: 3,
      arbitrary: fc
        .tuple(figures(), fc.nat(2), seeds)
        .map(([{ mesh }, noise, seed]) => jitterMesh(mesh, 0.01 * noise, seed)),
    },
  );

export async function propose(
  input: MeshInput,
  options: ProposeOptions = {},
): Promise<{ mesh: Mesh; proposal: Proposal }> {
  const mesh = buildMesh(input);
  return { mesh, proposal: await proposeSeams(mesh, options) };
}
