import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { describe, it } from 'vitest';
import { readObj } from '../../src/io/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import { AXES } from './shared-axes.js';
import { expectSoundSet } from './sound-set.js';

const FOLDER = new URL('../../../shared/meshes/', import.meta.url);
const all = existsSync(FOLDER)
  ? readdirSync(FOLDER).filter((name) => existsSync(new URL(`${name}/mesh.obj`, FOLDER)))
  : [];
const names = process.env.SEAMWRIGHT_LONG
  ? all
  : ['blocky-a', 'human-low-b'].filter((name) => all.includes(name));
if (names.length === 0) console.log('shared-meshes: no folder ../shared/meshes beside the project, skipped');

describe.skipIf(names.length === 0)('real models, where their folder exists', () => {
  it.each(names)('%s: every set goes all the way to the sheet', async (name) => {
    const mesh = buildMesh(readObj(readFileSync(new URL(`${name}/mesh.obj`, FOLDER))).mesh);
    const { up, front } = AXES[name] ?? {};
    const { sets } = await proposeSeams(mesh, { ...(up && { up }), ...(front && { front }) });
    for (const set of sets) expectSoundSet(mesh, set);
  });
});
