import type { FaceGroup } from '../io/index.js';
import { createObj } from '../io/index.js';
import { buildMesh } from '../mesh/index.js';
import type { Marionette, MarionetteOptions } from '../testing/marionette/index.js';
import { makeMarionette, POSE_NAMES } from '../testing/marionette/index.js';
import type { CommandRun } from './command.js';
import type { LoadedModel } from './load-model.js';
import { readChoice, readInteger, readText } from './parse-arguments.js';
import { proposeFor } from './propose-command.js';

/** Makes a marionette and proposes seam sets for it. */
export async function runDemo(run: CommandRun): Promise<number> {
  const { options } = run;
  const out = readText(options, 'out') ?? 'demo-out';
  const model = makeModel({
    faces: readInteger(options, 'faces', 500, 250_000),
    pose: readChoice(options, 'pose', POSE_NAMES),
  });
  return proposeFor(model, out, run);
}

function makeModel(options: MarionetteOptions): LoadedModel {
  const given = Object.fromEntries(Object.entries(options).filter(([, value]) => value !== undefined));
  const marionette = makeMarionette(given);
  const document = createObj(marionette.mesh, partGroups(marionette));
  return { name: 'marionette', document, mesh: buildMesh(marionette.mesh) };
}

/** The puppet's true parts as groups of its file. */
function partGroups({ parts, faceParts }: Marionette): FaceGroup[] {
  return parts.map(({ name, side, digit }, part) => ({
    name: [side === 'centre' ? '' : side, digit ?? '', name].filter((word) => word !== '').join('_'),
    kind: 'group',
    faces: Int32Array.from(faceParts.keys()).filter((f) => faceParts[f] === part),
  }));
}
