import { describe, it } from 'vitest';
import { buildMesh } from '../../src/mesh/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import { makeMarionette, marionetteVariants } from '../../src/testing/index.js';
import { expectSoundSet } from './sound-set.js';

const variants = marionetteVariants(36, { seed: 11, least: 700, most: 1000, hasCreatures: true });
const chosen = process.env.SEAMWRIGHT_LONG ? variants : variants.slice(0, 6);

describe('from the model to the sheet', () => {
  it.each(chosen.map((options, i) => [i, options] as const))('marionette %i', async (_, options) => {
    const mesh = buildMesh(makeMarionette(options).mesh);
    for (const set of (await proposeSeams(mesh)).sets) expectSoundSet(mesh, set);
  });
});
