import { resolve } from 'node:path';
import { InvalidMeshError, InvalidOptionError } from '../errors.js';
import type { SeamRecord, WrittenFormat } from '../io/index.js';
import { writeWithUvs } from '../io/index.js';
import { writeFilesAtomically } from '../io/node/index.js';
import { carryOver } from '../revising/index.js';
import type { CommandRun } from './command.js';
import { EXIT } from './exit-codes.js';
import { countOf, formatJson } from './format-text.js';
import { loadModel } from './load-model.js';
import { readNumber, readText } from './parse-arguments.js';
import { createProgress } from './progress.js';

const FORMATS: readonly WrittenFormat[] = ['obj', 'glb', 'usda', 'json'];

/** Carries the layout and the seams of one file over to an edited version of its model. */
export async function runCarry({ operands, options, streams }: CommandRun): Promise<number> {
  const out = readText(options, 'out');
  const format = FORMATS.find((each) => out?.toLowerCase().endsWith(`.${each}`));
  if (out === undefined || format === undefined) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `carry: nowhere to write, got --out ${out ?? 'not given'}, expected a file ending in .obj, .glb, .usda or .json`,
    );
  }
  if (operands.some((operand) => operand !== '-' && resolve(operand) === resolve(out))) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `carry: ${out} is one of the files to be read, expected another to write`,
    );
  }
  const tolerance = readNumber(options, 'tolerance', 0, 1);
  const progress = createProgress(streams, options.quiet === true);
  const from = await loadModel(operands[0]!, streams);
  const to = await loadModel(operands[1]!, streams);
  for (const { document, mesh } of [from, to]) {
    for (const warning of document.warnings) progress.warn(warning);
    for (const repair of mesh.repairs) progress.warn(repair.message);
  }
  const { cornerUvs } = from.document;
  const oldSeams: readonly SeamRecord[] | undefined = from.document.seams;
  if (!cornerUvs && !oldSeams) {
    throw new InvalidMeshError(
      'UV_INVALID',
      `carry: nothing to carry, got '${from.name}' with neither UVs nor seams, expected a file with either`,
    );
  }
  const carried = carryOver(from.mesh, { uvs: cornerUvs, seams: oldSeams }, to.mesh, { tolerance });
  const uvs = carried.uvs ?? new Float64Array(2 * to.mesh.cornerCount).fill(Number.NaN);
  const seams = carried.seams?.map(({ edges }, i) => ({ ...oldSeams![i]!, edges }));
  const { bytes } = await writeWithUvs(to.document, uvs, { format, seams });
  await writeFilesAtomically([{ path: out, content: bytes }]);
  for (const note of carried.notes) progress.warn(note);
  if (options.json === true) {
    const { isExact, lostEdges, unmatchedFaces, doubtfulFaces, notes } = carried;
    streams.writeOut(formatJson({ isExact, lostEdges, unmatchedFaces, doubtfulFaces, notes, file: out }));
    return EXIT.done;
  }
  const what = [cornerUvs && 'UVs', seams && countOf(seams.length, 'seam')].filter(Boolean).join(' and ');
  const how = carried.isExact ? 'exactly, as both models have the same faces' : 'from the nearest surface';
  streams.writeOut(`carried ${what} ${how}\n`);
  for (const note of carried.notes) streams.writeOut(`${note}\n`);
  streams.writeOut(`written to ${out}\n`);
  return EXIT.done;
}
