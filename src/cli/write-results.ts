import { readFileSync, rmSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { InvalidOptionError } from '../errors.js';
import { writeFilesAtomically } from '../io/node/index.js';

/**
 * Puts the files of a proposal into a folder, all when complete or none. Files of an earlier run that this
 * one does not replace go away, so that no set of another model lies beside the new ones.
 *
 * @param input - path of the file that the results were made from
 * @throws FILE_UNWRITABLE, OPTION_INVALID when a result would take the place of the input
 */
export async function writeResults(
  folder: string,
  files: ReadonlyMap<string, string | Uint8Array>,
  input: string | undefined,
): Promise<void> {
  const replaced = [...files.keys()].find(
    (name) => input !== undefined && resolve(folder, name) === resolve(input),
  );
  if (replaced !== undefined) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `propose: ${replaced} would replace the file it was made from, got --out ${folder}, expected another folder`,
    );
  }
  const stale = listEarlierFiles(folder).filter((name) => !files.has(name));
  await writeFilesAtomically([...files].map(([name, content]) => ({ path: join(folder, name), content })));
  for (const name of stale) rmSync(join(folder, name), { force: true });
}

/** What an earlier run left, as its proposal.json lists it; only names that we give ourselves count. */
function listEarlierFiles(folder: string): string[] {
  try {
    const { files } = JSON.parse(readFileSync(join(folder, 'proposal.json'), 'utf8')) as { files?: unknown };
    if (!Array.isArray(files)) return [];
    return files.filter(
      (name) => typeof name === 'string' && /^set-\d+\.(obj|svg|png|glb|usda|json)$/.test(name),
    );
  } catch {
    return [];
  }
}
