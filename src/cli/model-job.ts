import { createHash } from 'node:crypto';
import { mkdir, readdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { hostname } from 'node:os';
import { basename, dirname, join, resolve } from 'node:path';
import { FormatError } from '../errors.js';
import { readMeshFile } from '../io/node/index.js';
import { buildMesh } from '../mesh/index.js';
import { readAxes } from './axis-options.js';
import type { OptionValues } from './command.js';
import { readProfile } from './hints-file.js';
import { proposalFiles } from './proposal-files.js';
import { runJob } from './propose-job.js';
import { readFileChoice, readLayoutOptions, readProposeOptions } from './propose-options.js';

/** One model of a batch, with where its results go. */
export interface ModelTask {
  readonly file: string;
  /** Folder for the results of this model alone. */
  readonly folder: string;
  readonly options: OptionValues;
  readonly version: string;
}

export interface ModelOutcome {
  /** Whether an earlier run had done it already. */
  readonly isSkipped: boolean;
  readonly faces: number;
  /** Figures of the best set. */
  readonly pieces: number;
  readonly energy: number;
  readonly fill: number;
  readonly sets: number;
  readonly warnings: readonly string[];
}

/** The file that tells, inside a model's folder, what its results were made from. */
const RECORD = 'record.json';

interface ModelRecord {
  readonly version: 1;
  /** Of the program, the file's bytes and the options. */
  readonly hash: string;
  readonly outcome: ModelOutcome;
}

/**
 * Proposes for one model and puts its folder in place, whole: results are written beside it and moved there by one
 * rename. A folder that was made from the same bytes, options and program is left as it is.
 *
 * @throws what reading, proposing and writing throw
 */
export async function runModel(
  task: ModelTask,
  onProgress: (share: number, stage: string) => void,
): Promise<ModelOutcome> {
  const { file, folder, options } = task;
  const bytes = await readFile(file).catch((cause: NodeJS.ErrnoException) => {
    throw new FormatError(
      'FILE_UNREADABLE',
      `batch: the file ${file} cannot be read (${cause.code}), expected a file that exists and may be read`,
      { path: file },
      { cause },
    );
  });
  const hash = hashTask(task, bytes);
  const earlier = await readRecord(folder);
  if (earlier?.hash === hash) return { ...earlier.outcome, isSkipped: true };
  const document = await readMeshFile(file);
  const model = { name: basename(file), document, mesh: buildMesh(document.mesh) };
  const warnings = [...document.warnings, ...model.mesh.repairs.map(({ message }) => message)];
  const axes = readAxes(options, document.upAxis);
  const finished = await runJob(
    model,
    {
      propose: { ...readProposeOptions(options, document), ...axes },
      layout: { ...readLayoutOptions(options, document), ...axes },
      files: readFileChoice(options),
      signal: new AbortController().signal,
    },
    { update: onProgress, warn: (message) => warnings.push(message), end: () => undefined },
  );
  const files = new Map(proposalFiles(model, finished, axes));
  const [best] = finished.sets;
  const outcome: ModelOutcome = {
    isSkipped: false,
    faces: model.mesh.faceCount,
    pieces: best!.set.charts.length,
    energy: best!.measured.energy,
    fill: best!.layout.fill,
    sets: finished.sets.length,
    warnings,
  };
  const record: ModelRecord = { version: 1, hash, outcome };
  files.set(RECORD, `${JSON.stringify(record, undefined, 1)}\n`);
  await placeFolder(folder, files, hash);
  return outcome;
}

function hashTask({ options, version }: ModelTask, bytes: Uint8Array): string {
  // A house style is told by what its file says, not by the file's name.
  const given = Object.entries({ ...options, profile: readProfile(options) })
    .filter(([, value]) => value !== undefined)
    .sort(([a], [b]) => (a < b ? -1 : 1));
  return createHash('sha256')
    .update(JSON.stringify([version, given]))
    .update('\0')
    .update(bytes)
    .digest('hex');
}

async function readRecord(folder: string): Promise<ModelRecord | undefined> {
  try {
    const record = JSON.parse(await readFile(join(folder, RECORD), 'utf8')) as Partial<ModelRecord>;
    return record.version === 1 && typeof record.hash === 'string' ? (record as ModelRecord) : undefined;
  } catch {
    return undefined;
  }
}

/** What an interrupted run leaves behind starts so; it is never taken for a result. */
const SCRATCH_PREFIX = '.unfinished-';

/**
 * Writes a folder's files into a scratch folder beside it, then swaps the two by renames. Where another worker put
 * the same results in place meanwhile, these stay.
 */
async function placeFolder(
  folder: string,
  files: ReadonlyMap<string, string | Uint8Array>,
  hash: string,
): Promise<void> {
  const target = resolve(folder);
  const stem = join(dirname(target), `${scratchPrefix(target)}${hostname()}-${process.pid}`);
  try {
    await rm(stem, { recursive: true, force: true });
    await mkdir(stem, { recursive: true });
    for (const [name, content] of files) await writeFile(join(stem, name), content, { flush: true });
    const isMoved = await tryRename(stem, target);
    if (isMoved) return;
    if ((await readRecord(target))?.hash !== hash) {
      const old = `${stem}-old`;
      await rm(old, { recursive: true, force: true });
      await rename(target, old);
      await rename(stem, target);
      await rm(old, { recursive: true, force: true });
    }
  } catch (cause) {
    throw new FormatError(
      'FILE_UNWRITABLE',
      `batch: the folder ${folder} cannot be written (${(cause as NodeJS.ErrnoException).code ?? 'unknown'})`,
      { path: folder },
      { cause },
    );
  } finally {
    await rm(stem, { recursive: true, force: true });
  }
}

/** False where a folder with content is there already. */
async function tryRename(from: string, to: string): Promise<boolean> {
  try {
    await rename(from, to);
    return true;
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === 'ENOTEMPTY' || code === 'EEXIST' || code === 'EPERM') return false;
    throw error;
  }
}

/** Scratch folders of one model; the tilde, which no host's name has, keeps `arm` apart from `arm-2`. */
const scratchPrefix = (folder: string): string => `${SCRATCH_PREFIX}${basename(folder)}~`;

/** Removes what workers that died at one model left beside its folder. */
export async function removeScratchOf(folder: string): Promise<void> {
  const target = resolve(folder);
  const names = await readdir(dirname(target)).catch(() => []);
  for (const name of names) {
    if (name.startsWith(scratchPrefix(target)))
      await rm(join(dirname(target), name), { recursive: true, force: true });
  }
}

/** Removes what interrupted runs left in a folder of results. Only when no other run is at work there. */
export async function sweepScratch(folder: string): Promise<void> {
  const names = await readdir(folder).catch(() => []);
  for (const name of names) {
    if (name.startsWith(SCRATCH_PREFIX)) await rm(join(folder, name), { recursive: true, force: true });
  }
}
