import { realpathSync } from 'node:fs';
import { lstat, readFile, realpath, stat } from 'node:fs/promises';
import { dirname, isAbsolute, join, relative, resolve, sep } from 'node:path';
import { writeFilesAtomically } from '../../io/node/index.js';
import { BridgeError } from '../error-codes.js';
import type { JobFiles } from '../job.js';

/** Files larger than this are not read, bytes. */
const MAX_FILE_BYTES = 2 ** 30;

/**
 * Files of one folder and those below it, whatever a client asks for. A path is taken from the folder when it is
 * relative; one with `..`, one that lies outside, and one that leads out over a link are refused.
 */
export function openFolder(folder: string): JobFiles {
  const root = realpathSync(folder);
  const place = (path: string): string => {
    if (path === '' || path.includes('\0') || path.split(/[\\/]/).includes('..')) throw refused(path);
    const full = isAbsolute(path) ? resolve(path) : resolve(root, path);
    // Also reached by the name that the folder was given under.
    const inside = isInside(root, full)
      ? full
      : isInside(resolve(folder), full)
        ? join(root, relative(resolve(folder), full))
        : undefined;
    if (inside === undefined) throw refused(path);
    return inside;
  };
  const read = async (path: string): Promise<Uint8Array> => {
    const target = await realpath(place(path)).catch((cause: unknown) => {
      throw unreadable(path, cause);
    });
    if (!isInside(root, target)) throw refused(path);
    const facts = await stat(target);
    if (!facts.isFile()) throw unreadable(path, { code: 'not a file' });
    if (facts.size > MAX_FILE_BYTES) throw unreadable(path, { code: 'larger than 1 GiB' });
    return readFile(target).catch((cause: unknown) => {
      throw unreadable(path, cause);
    });
  };
  return {
    read,
    readBeside: (path) => async (uri) => {
      let name: string;
      try {
        name = decodeURIComponent(uri);
      } catch {
        throw refused(uri);
      }
      if (isAbsolute(name)) throw refused(name);
      return read(join(dirname(path), name));
    },
    async write(path, bytes) {
      const target = place(path);
      // The nearest folder that exists must be inside, and the file itself no link; what is made below it is ours.
      const folder = await nearestRealFolder(dirname(target));
      if (folder === undefined || !isInside(root, folder)) throw refused(path);
      if (target === root || (await isLink(target))) throw refused(path);
      await writeFilesAtomically([{ path: target, content: bytes }]);
    },
  };
}

function isInside(root: string, path: string): boolean {
  return path === root || path.startsWith(root.endsWith(sep) ? root : root + sep);
}

async function nearestRealFolder(folder: string): Promise<string | undefined> {
  for (let at = folder; ; at = dirname(at)) {
    try {
      return await realpath(at);
    } catch {
      // A dangling link is there, yet leads nowhere that could be checked.
      if ((await isLink(at)) || dirname(at) === at) return undefined;
    }
  }
}

async function isLink(path: string): Promise<boolean> {
  try {
    return (await lstat(path)).isSymbolicLink();
  } catch {
    return false;
  }
}

const refused = (path: string): BridgeError =>
  new BridgeError(
    'pathRefused',
    `params: path is refused, got '${path.slice(0, 200)}', expected a path inside the allowed folder, without '..'`,
    { field: 'path' },
  );

const unreadable = (path: string, cause: unknown): BridgeError =>
  new BridgeError(
    'fileFailed',
    `the file '${path.slice(0, 200)}' cannot be read (${(cause as { code?: string }).code ?? 'unknown'})`,
    { field: 'path' },
  );
