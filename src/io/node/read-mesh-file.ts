import { readFile, stat } from 'node:fs/promises';
import { dirname, resolve, sep } from 'node:path';
import { FormatError } from '../../errors.js';
import type { MeshDocument, ReadMeshOptions } from '../index.js';
import { READ_DEFAULTS, readMesh } from '../index.js';

const CALLER = 'readMeshFile';

/**
 * Reads a mesh file, its format known by its content and the ending of its name.
 *
 * @param path - file, or `-` for standard input (exchange JSON, or any format that tells by its content)
 * @throws FILE_UNREADABLE, FORMAT_UNKNOWN, FORMAT_TOO_LARGE, and what the reader of the format throws. A .gltf
 * file reaches no files but those in its own folder and the folders inside it.
 */
export async function readMeshFile(path: string, options: ReadMeshOptions = {}): Promise<MeshDocument> {
  const maxBytes = options.maxBytes ?? READ_DEFAULTS.maxBytes;
  if (path === '-') return readMesh(await readStandardInput(maxBytes), options);
  const bytes = await readBytes(path, maxBytes);
  const folder = dirname(resolve(path));
  return readMesh(bytes, {
    name: path,
    readResource: (uri) => readBytes(resolveInside(folder, uri), maxBytes),
    ...options,
  });
}

async function readBytes(path: string, maxBytes: number): Promise<Uint8Array> {
  try {
    const { size } = await stat(path);
    if (size > maxBytes) throw tooLarge(path, size, maxBytes);
    return await readFile(path);
  } catch (cause) {
    if (cause instanceof FormatError) throw cause;
    const code = (cause as NodeJS.ErrnoException).code ?? 'unknown';
    throw new FormatError(
      'FILE_UNREADABLE',
      `${CALLER}: the file ${path} cannot be read (${code}), expected a file that exists and may be read`,
      { path, reason: code },
      { cause },
    );
  }
}

async function readStandardInput(maxBytes: number): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  let size = 0;
  for await (const chunk of process.stdin) {
    size += chunk.length;
    if (size > maxBytes) throw tooLarge('standard input', size, maxBytes);
    chunks.push(chunk);
  }
  return Buffer.concat(chunks);
}

function resolveInside(folder: string, uri: string): string {
  let name: string;
  try {
    name = decodeURIComponent(uri);
  } catch (cause) {
    throw new FormatError(
      'FORMAT_INVALID',
      `${CALLER}: bad URI ${JSON.stringify(uri.slice(0, 60))}`,
      { uri },
      { cause },
    );
  }
  const path = resolve(folder, name);
  if (path.startsWith(folder.endsWith(sep) ? folder : folder + sep) && !name.includes('\0')) return path;
  throw new FormatError(
    'FILE_UNREADABLE',
    `${CALLER}: the file names ${JSON.stringify(uri.slice(0, 60))}, expected a path inside its own folder`,
    { uri },
  );
}

const tooLarge = (what: string, size: number, maxBytes: number): FormatError =>
  new FormatError(
    'FORMAT_TOO_LARGE',
    `${CALLER}: ${what} is too large, got ${size} bytes, expected at most ${maxBytes} (option maxBytes)`,
    { byteLength: size, maxBytes },
  );
