import { availableParallelism } from 'node:os';
import { InvalidOptionError, throwIfAborted } from '../errors.js';
import type { Mesh } from '../mesh/index.js';
import { readAxes } from './axis-options.js';
import type { CommandRun, OptionValues } from './command.js';
import { EXIT } from './exit-codes.js';
import { formatJson, formatTable } from './format-text.js';
import { JobThreads } from './job-threads.js';
import type { JobWorkers } from './job-workers.js';
import { createInlineWorkers } from './job-workers.js';
import type { LoadedModel } from './load-model.js';
import { loadModel } from './load-model.js';
import { readInteger, readText } from './parse-arguments.js';
import { createProgress } from './progress.js';
import { proposalDocument } from './proposal-document.js';
import { proposalFiles } from './proposal-files.js';
import { comparisonRows } from './proposal-page.js';
import { runJob } from './propose-job.js';
import { readFileChoice, readLayoutOptions, readProposeOptions } from './propose-options.js';
import type { Streams } from './streams.js';
import { findWorkerScript } from './worker-script.js';
import { refuseOwnInput, writeResults } from './write-results.js';

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
  readInteger(options, 'jobs', 1, 64);
  if (out !== undefined) refuseOwnInput(out, operands[0]!);
  const model = await loadModel(operands[0]!, streams);
  return proposeFor(model, out, run);
}

/** Faces from which on a second thread gains more time than it takes to compile the code anew. */
const FEWEST_FACES = 30_000;

/** Parts of a job done at once. */
const readJobs = (options: OptionValues, { faceCount }: Mesh): number =>
  readInteger(options, 'jobs', 1, 64) ?? (faceCount < FEWEST_FACES ? 1 : Math.min(4, availableParallelism()));

function startThreads(mesh: Mesh, size: number, { signal, writeError }: Streams): JobWorkers {
  const script = findWorkerScript();
  return script
    ? new JobThreads(mesh, { script, size, signal, writeError })
    : createInlineWorkers(mesh, signal);
}

/** The job from a loaded model to written files; the demo shares it. */
export async function proposeFor(
  model: LoadedModel,
  out: string | undefined,
  run: CommandRun,
): Promise<number> {
  const { options, streams } = run;
  const progress = createProgress(streams, options.quiet === true);
  try {
    for (const warning of model.document.warnings) progress.warn(warning);
    for (const repair of model.mesh.repairs) progress.warn(repair.message);
    const axes = readAxes(options, model.document.upAxis);
    const jobs = readJobs(options, model.mesh);
    const finished = await runJob(
      model,
      {
        propose: { ...readProposeOptions(options, model.document), ...axes },
        layout: { ...readLayoutOptions(options, model.document), ...axes },
        files: out === undefined ? undefined : readFileChoice(options),
        signal: streams.signal,
        startWorkers: jobs > 1 ? (mesh) => startThreads(mesh, jobs, streams) : undefined,
      },
      progress,
    );
    let names: readonly string[] = [];
    if (out !== undefined) {
      progress.update(1, 'drawing');
      const files = proposalFiles(model, finished, axes);
      throwIfAborted(streams.signal);
      await writeResults(out, files);
      names = [...files.keys()];
    }
    progress.end();
    if (options.json === true) {
      streams.writeOut(formatJson(proposalDocument(model, finished, names)));
      return EXIT.done;
    }
    streams.writeOut(formatTable(comparisonRows(finished.sets)));
    for (const [i, { set }] of finished.sets.entries()) streams.writeOut(`${i + 1}: ${set.summary}\n`);
    streams.writeOut(`written to ${out}: ${names.join(', ')}\n`);
    return EXIT.done;
  } finally {
    progress.end();
  }
}
