import { readFileSync, rmSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { InvalidOptionError } from '../errors.js';
import { writeFilesAtomically } from '../io/node/index.js';

/** Names that results of a set have, and the others. */
const SET_FILE = /^set-\d+(\.(obj|svg|png|glb|usda|json)|-template(-\d{4})?\.(svg|png))$/;
const OTHER_FILE = /^(proposal\.json|report\.html)$/;

/** @throws OPTION_INVALID when a result could take the place of the file that it is made from */
export function refuseOwnInput(folder: string, input: string): void {
  const name = basename(input);
  if (input === '-' || resolve(dirname(input)) !== resolve(folder)) return;
  if (!SET_FILE.test(name) && !OTHER_FILE.test(name)) return;
  throw new InvalidOptionError(
    'OPTION_INVALID',
    `propose: ${name} would be replaced by a result of the same name, got --out ${folder}, expected another folder`,
  );
}

/**
 * Puts the files of a proposal into a folder, all when complete or none. Files of an earlier run that this
 * one does not replace go away, so that no set of another model lies beside the new ones.
 *
 * @throws FILE_UNWRITABLE
 */
export async function writeResults(
  folder: string,
  files: ReadonlyMap<string, string | Uint8Array>,
): Promise<void> {
  const stale = listEarlierFiles(folder).filter((name) => !files.has(name));
  await writeFilesAtomically([...files].map(([name, content]) => ({ path: join(folder, name), content })));
  for (const name of stale) rmSync(join(folder, name), { force: true });
}

/** What an earlier run left, as its proposal.json lists it; only names that we give ourselves count. */
function listEarlierFiles(folder: string): string[] {
  try {
    const { files } = JSON.parse(readFileSync(join(folder, 'proposal.json'), 'utf8')) as { files?: unknown };
    if (!Array.isArray(files)) return [];
    return files.filter((name) => typeof name === 'string' && SET_FILE.test(name));
  } catch {
    return [];
  }
}
