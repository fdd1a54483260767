import { mkdir, open, rename, rm, rmdir } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { FormatError } from '../../errors.js';

/** A file to be written. */
export interface OutputFile {
  readonly path: string;
  readonly content: string | Uint8Array;
}

/**
 * Writes files so that none is ever seen half written: all go to hidden temporary files beside their targets
 * first, and are moved into place only when every one of them is complete. On an error the temporary files,
 * and the folders made for them, are removed, and files that were there before stay as they were; only a
 * failure while moving leaves the files moved until then.
 *
 * @throws FILE_UNWRITABLE
 */
export async function writeFilesAtomically(files: readonly OutputFile[]): Promise<void> {
  const staged: { temporary: string; target: string }[] = [];
  const folders: string[] = [];
  let current = '';
  try {
    for (const { path, content } of files) {
      current = path;
      const target = resolve(path);
      const made = await mkdir(dirname(target), { recursive: true });
      if (made) folders.push(...listFolders(dirname(target), made));
      const temporary = join(dirname(target), `.${basename(target)}.${process.pid}-${staged.length}.tmp`);
      staged.push({ temporary, target });
      await writeDurably(temporary, content);
    }
    for (const { temporary, target } of staged) {
      current = target;
      await rename(temporary, target);
    }
  } catch (cause) {
    for (const { temporary } of staged) await rm(temporary, { force: true }).catch(() => undefined);
    // A folder that holds anything by now is not removed.
    for (const folder of folders) await rmdir(folder).catch(() => undefined);
    const code = (cause as NodeJS.ErrnoException).code ?? 'unknown';
    throw new FormatError(
      'FILE_UNWRITABLE',
      `writeFilesAtomically: the file ${current} cannot be written (${code}), expected a folder that may be written`,
      { path: current, reason: code },
      { cause },
    );
  }
}

async function writeDurably(path: string, content: string | Uint8Array): Promise<void> {
  const file = await open(path, 'w');
  try {
    await file.writeFile(content);
    await file.sync();
  } finally {
    await file.close();
  }
}

/** The folder and its parents up to the first that was made, innermost first. */
function listFolders(folder: string, firstMade: string): string[] {
  const folders = [folder];
  while (folders.at(-1) !== firstMade && folders.at(-1) !== dirname(folders.at(-1)!)) {
    folders.push(dirname(folders.at(-1)!));
  }
  return folders;
}
