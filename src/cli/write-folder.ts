import { mkdirSync, mkdtempSync, renameSync, rmdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { FormatError } from '../errors.js';

/**
 * Writes files into a folder so that either all of them or none are there: they are written to a hidden
 * folder inside it first and then moved into place.
 *
 * @param files - content by file name, no folders in the names
 * @param stale - names of files of an earlier run that go away unless they are written anew
 * @throws FILE_UNWRITABLE
 */
export function writeFolder(
  directory: string,
  files: ReadonlyMap<string, string | Uint8Array>,
  stale: readonly string[] = [],
): void {
  const folder = resolve(directory);
  const isNew = !isFolder(folder);
  let staging: string | undefined;
  try {
    mkdirSync(folder, { recursive: true });
    staging = mkdtempSync(join(folder, '.seamwright-'));
    for (const [name, content] of files) writeFileSync(join(staging, name), content);
    for (const name of files.keys()) renameSync(join(staging, name), join(folder, name));
    for (const name of stale) if (!files.has(name)) rmSync(join(folder, name), { force: true });
    rmSync(staging, { recursive: true, force: true });
  } catch (cause) {
    if (staging) rmSync(staging, { recursive: true, force: true });
    if (isNew) removeEmptyFolder(folder);
    const reason = cause instanceof Error ? cause.message : String(cause);
    throw new FormatError(
      'FILE_UNWRITABLE',
      `cannot write to the folder, got '${directory}' (${reason}), expected a folder that can be written to`,
      { directory },
      { cause },
    );
  }
}

/** Removes a folder made for nothing; one with anything in it stays. */
function removeEmptyFolder(folder: string): void {
  try {
    rmdirSync(folder);
  } catch {
    // It was never made, or somebody else has put a file there.
  }
}

/** Whether a folder is there. */
export function isFolder(path: string): boolean {
  return statSync(path, { throwIfNoEntry: false })?.isDirectory() === true;
}
