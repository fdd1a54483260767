import fc from 'fast-check';
import type { Mesh, MeshInput } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import type { Proposal, ProposeOptions } from '../../src/proposing/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import type { MarionetteOptions } from '../../src/testing/index.js';
import { marionetteVariants, meshArbitraries } from '../../src/testing/index.js';

/** Cases of a law: a thousand with SEAMWRIGHT_LONG=1, else a sample that takes seconds. */
export const lawRuns = (sample: number): number => (process.env['SEAMWRIGHT_LONG'] ? 1000 : sample);

export const meshes = meshArbitraries(fc);
export const seeds = fc.integer({ min: 0, max: 0x7fffffff });

/** Characters of any proportions, poses and dress; noise only where `hasNoise`. */
export const characters = (hasNoise: boolean): fc.Arbitrary<MarionetteOptions> =>
  fc.tuple(seeds, fc.nat(11)).map(([seed, i]) => {
    const options = marionetteVariants(12, { seed, least: 600, most: 900, hasCreatures: true })[i]!;
    return hasNoise ? options : { ...options, jitter: 0 };
  });

export async function propose(
  input: MeshInput,
  options: ProposeOptions = {},
): Promise<{ mesh: Mesh; proposal: Proposal }> {
  const mesh = buildMesh(input);
  return { mesh, proposal: await proposeSeams(mesh, options) };
}
