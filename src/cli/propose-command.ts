import { readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { InvalidOptionError } from '../errors.js';
import { readAxes } from './axis-options.js';
import type { CommandRun } from './command.js';
import { EXIT } from './exit-codes.js';
import { formatTable } from './format-text.js';
import type { LoadedModel } from './load-model.js';
import { loadModel } from './load-model.js';
import { readText } from './parse-arguments.js';
import { createProgress } from './progress.js';
import { proposalFiles } from './proposal-files.js';
import { comparisonRows } from './proposal-page.js';
import { runJob } from './propose-job.js';
import { readLayoutOptions, readProposeOptions } from './propose-options.js';
import { writeFolder } from './write-folder.js';

/** Proposes seam sets for a file. */
export async function runPropose(run: CommandRun): Promise<number> {
  const { operands, options, streams } = run;
  const out = readText(options, 'out');
  if (out === undefined && options.json !== true) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      'propose: nowhere to write, got neither --out nor --json, expected --out DIR, --json or both',
    );
  }
  // Wrong options are told before a large file is read.
  readAxes(options);
  readProposeOptions(options);
  readLayoutOptions(options);
  const model = await loadModel(operands[0]!, streams);
  return proposeFor(model, out, run);
}

/** The job from a loaded model to written files; the demo shares it. */
export async function proposeFor(
  model: LoadedModel,
  out: string | undefined,
  run: CommandRun,
): Promise<number> {
  const { options, streams, operands } = run;
  const progress = createProgress(streams, options.quiet === true);
  try {
    for (const warning of model.document.warnings) progress.warn(warning);
    for (const repair of model.mesh.repairs) progress.warn(repair.message);
    const axes = readAxes(options, model.document.upAxis);
    const finished = await runJob(
      model,
      {
        propose: { ...readProposeOptions(options), ...axes },
        layout: { ...readLayoutOptions(options), ...axes },
        signal: streams.signal,
      },
      progress,
    );
    progress.update(1, 'drawing');
    const files = proposalFiles(model, finished, { ...axes, hasGlb: options.glb === true });
    if (out !== undefined) {
      refuseOwnInput(operands[0], out, files);
      writeFolder(out, files, staleFiles(out));
    }
    progress.end();
    if (options.json === true) streams.writeOut(files.get('proposal.json') as string);
    else {
      streams.writeOut(formatTable(comparisonRows(finished.sets)));
      for (const [i, { set }] of finished.sets.entries()) streams.writeOut(`${i + 1}: ${set.summary}\n`);
      streams.writeOut(`written to ${out}: ${[...files.keys()].join(', ')}\n`);
    }
    return EXIT.done;
  } finally {
    progress.end();
  }
}

/** @throws OPTION_INVALID when a result would take the place of the input */
function refuseOwnInput(input: string | undefined, out: string, files: ReadonlyMap<string, unknown>): void {
  if (input === undefined || input === '-') return;
  for (const name of files.keys()) {
    if (resolve(out, name) === resolve(input)) {
      throw new InvalidOptionError(
        'OPTION_INVALID',
        `propose: ${name} would replace the file it was made from, got --out ${out}, expected another folder`,
      );
    }
  }
}

/** Files of an earlier run in the folder, as its own proposal.json lists them; only names we give ourselves count. */
function staleFiles(out: string): string[] {
  try {
    const { files } = JSON.parse(readFileSync(join(out, 'proposal.json'), 'utf8')) as { files?: unknown };
    if (!Array.isArray(files)) return [];
    return files.filter((name) => typeof name === 'string' && /^set-\d+\.(obj|svg|png|glb)$/.test(name));
  } catch {
    return [];
  }
}
