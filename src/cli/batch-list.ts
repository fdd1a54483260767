import { basename, dirname, extname, resolve } from 'node:path';
import { FormatError } from '../errors.js';
import { readOptionFile } from './option-file.js';

/** A model of a batch. */
export interface ListedModel {
  /** As the list has it. */
  readonly line: string;
  readonly file: string;
  /** Name of the folder for its results. */
  readonly name: string;
}

/**
 * Reads the list of a batch: one path a line, from the list's own folder; blank lines and lines that start with #
 * are left out, repeated files counted once.
 *
 * @throws FILE_UNREADABLE, FORMAT_INVALID when nothing is listed
 */
export function readBatchList(path: string): ListedModel[] {
  const text = readOptionFile(path, '--list', 'a text file with one model a line');
  const byFile = new Map<string, string>();
  for (const raw of text.replace(/^\ufeff/, '').split(/\r?\n/)) {
    const line = raw.trim();
    if (line === '' || line.startsWith('#')) continue;
    const file = resolve(dirname(path), line);
    if (!byFile.has(file)) byFile.set(file, line);
  }
  if (byFile.size === 0) {
    throw new FormatError(
      'FORMAT_INVALID',
      `--list: the file names no model, got '${path}', expected one a line`,
    );
  }
  return nameModels([...byFile].map(([file, line]) => ({ file, line })));
}

/** Folders are named after the files; where two would share a name, after as much of the line as it takes. */
function nameModels(models: readonly { file: string; line: string }[]): ListedModel[] {
  const stem = ({ file }: { file: string }) => safeName(basename(file, extname(file)));
  const counts = countBy(models.map((model) => stem(model).toLowerCase()));
  const taken = new Set<string>();
  return models.map((model) => {
    const short = stem(model);
    const wanted =
      counts.get(short.toLowerCase()) === 1 ? short : safeName(model.line.replace(/[\\/]+/g, '-'));
    let name = wanted;
    for (let i = 2; taken.has(name.toLowerCase()); i++) name = `${wanted}-${i}`;
    taken.add(name.toLowerCase());
    return { ...model, name };
  });
}

function countBy(names: readonly string[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const name of names) counts.set(name, (counts.get(name) ?? 0) + 1);
  return counts;
}

/** A name that every file system takes, and that no file of ours has. */
function safeName(text: string): string {
  const name = text.replace(/[^\p{L}\p{N}_. -]/gu, '_').replace(/^[. ]+|[. ]+$/g, '');
  return name === '' || name === 'summary.json' ? 'model' : name;
}
