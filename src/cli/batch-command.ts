import { mkdirSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { FormatError, InvalidOptionError } from '../errors.js';
import { writeFilesAtomically } from '../io/node/index.js';
import { readAxes } from './axis-options.js';
import type { ListedModel } from './batch-list.js';
import { readBatchList } from './batch-list.js';
import type { CommandRun, OptionValues } from './command.js';
import { EXIT } from './exit-codes.js';
import { formatJson, formatNumber, formatShare, formatTable } from './format-text.js';
import { sweepScratch } from './model-job.js';
import type { ModelResult } from './model-pool.js';
import { runModels } from './model-pool.js';
import { readInteger, readText } from './parse-arguments.js';
import { createProgress } from './progress.js';
import { readLayoutOptions, readProposeOptions } from './propose-options.js';
import { workerScript } from './worker-script.js';

/** Options that say how the batch runs, and nothing of its results. */
const RUN_OPTIONS: readonly string[] = ['list', 'out', 'jobs', 'json', 'quiet', 'help'];

/** Proposes for every model of a list. */
export async function runBatch(run: CommandRun): Promise<number> {
  const { options, streams } = run;
  const out = needText(options, 'out', 'a folder for the results');
  const models = readBatchList(needText(options, 'list', 'a file that names the models'));
  const jobs = readInteger(options, 'jobs', 1, 256) ?? Math.max(1, availableParallelism() - 1);
  readAxes(options);
  readProposeOptions(options);
  readLayoutOptions(options);
  makeFolder(out);
  await sweepScratch(out);
  const modelOptions = Object.fromEntries(
    Object.entries(options).filter(([name]) => !RUN_OPTIONS.includes(name)),
  );
  const version = run.readVersion();
  const results = new Map<number, ModelResult>();
  const shares = new Map<number, number>();
  const progress = createProgress(streams, options.quiet === true);
  const show = (stage: string) => {
    let share = results.size;
    for (const [index, part] of shares) if (!results.has(index)) share += part;
    progress.update(share / models.length, `${results.size} of ${models.length} models, ${stage}`);
  };
  try {
    await runModels(
      models.map(({ file, name }) => ({ file, folder: join(out, name), options: modelOptions, version })),
      {
        script: workerScript(),
        jobs,
        signal: streams.signal,
        writeError: streams.writeError,
        onProgress(index, share, stage) {
          shares.set(index, share);
          show(`${models[index]!.name}: ${stage}`);
        },
        onResult(index, result) {
          results.set(index, result);
          if (result.status === 'failed')
            progress.warn(`${models[index]!.line}: ${result.message} [${result.code}]`);
          show(models[index]!.name);
        },
      },
    );
  } finally {
    progress.end();
    if (streams.signal.aborted) await sweepScratch(out);
  }
  if (streams.signal.aborted) {
    streams.writeError(`seamwright: interrupted; ${results.size} of ${models.length} models are done\n`);
    return EXIT.interrupted;
  }
  const summary = formatJson(summaryDocument(models, results));
  await writeFilesAtomically([{ path: join(out, 'summary.json'), content: summary }]);
  streams.writeOut(options.json === true ? summary : formatSummary(models, results));
  return exitCodeFor(results);
}

function needText(options: OptionValues, name: string, what: string): string {
  const text = readText(options, name);
  if (text !== undefined && text !== '') return text;
  throw new InvalidOptionError('OPTION_INVALID', `batch: --${name} is missing, expected ${what}`, {
    option: name,
  });
}

function makeFolder(folder: string): void {
  try {
    mkdirSync(folder, { recursive: true });
  } catch (cause) {
    throw new FormatError(
      'FILE_UNWRITABLE',
      `--out: the folder cannot be made, got '${folder}', expected a folder that may be written`,
      { path: folder },
      { cause },
    );
  }
}

/** The highest exit code of the models that failed, so that a caller sees that not all is done. */
function exitCodeFor(results: ReadonlyMap<number, ModelResult>): number {
  let code: number = EXIT.done;
  for (const result of results.values())
    if (result.status === 'failed') code = Math.max(code, result.exitCode);
  return code;
}

const countStatus = (results: ReadonlyMap<number, ModelResult>, status: ModelResult['status']): number =>
  [...results.values()].filter((result) => result.status === status).length;

/** Only what a repeated run finds again, so that the same models give the same bytes. */
function summaryDocument(models: readonly ListedModel[], results: ReadonlyMap<number, ModelResult>) {
  return {
    version: 1,
    models: models.length,
    finished: countStatus(results, 'done') + countStatus(results, 'skipped'),
    failed: countStatus(results, 'failed'),
    results: models.map(({ line, name }, i) => {
      const result = results.get(i)!;
      if (result.status === 'failed')
        return { file: line, status: 'failed', code: result.code, message: result.message };
      const { isSkipped: _isSkipped, ...outcome } = result.outcome;
      return { file: line, status: 'finished', folder: name, ...outcome };
    }),
  };
}

function formatSummary(models: readonly ListedModel[], results: ReadonlyMap<number, ModelResult>): string {
  const rows = [['model', 'result', 'faces', 'sets', 'pieces', 'energy', 'fill']];
  models.forEach(({ name }, i) => {
    const result = results.get(i)!;
    if (result.status === 'failed') rows.push([name, result.code, '', '', '', '', '']);
    else {
      const { faces, sets, pieces, energy, fill } = result.outcome;
      rows.push([
        name,
        result.status,
        ...[faces, sets, pieces].map(String),
        formatNumber(energy),
        formatShare(fill),
      ]);
    }
  });
  const counts = (['done', 'skipped', 'failed'] as const).map(
    (status) => `${countStatus(results, status)} ${status}`,
  );
  return `${formatTable(rows)}${models.length} models: ${counts.join(', ')}\n`;
}
