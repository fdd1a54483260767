import { FormatError } from '../errors.js';
import type { ExchangeDocument } from './exchange/read-exchange.js';
import { readExchange } from './exchange/read-exchange.js';
import { isGlb } from './gltf/container.js';
import type { GltfDocument, ReadGltfOptions } from './gltf/read-gltf.js';
import { readGltf } from './gltf/read-gltf.js';
import type { ObjDocument } from './obj/read-obj.js';
import { readObj } from './obj/read-obj.js';
import type { PlyDocument } from './ply/read-ply.js';
import { readPly } from './ply/read-ply.js';
import { quoteText } from './scan-bytes.js';
import type { MeshFormat } from './source-document.js';
import type { UsdaDocument } from './usd/read-usda.js';
import { readUsda } from './usd/read-usda.js';

/** A file of any format that is read. */
export type MeshDocument = ObjDocument | GltfDocument | UsdaDocument | PlyDocument | ExchangeDocument;

export interface ReadMeshOptions extends ReadGltfOptions {
  /**
   * Format of the bytes.
   * @defaultValue what the bytes start with, else what `name` ends in
   */
  readonly format?: MeshFormat;
  /** File name; only its ending is looked at. @defaultValue none */
  readonly name?: string;
}

const ENDINGS: Readonly<Record<string, MeshFormat>> = Object.freeze({
  obj: 'obj',
  gltf: 'gltf',
  glb: 'glb',
  usda: 'usda',
  usd: 'usda',
  ply: 'ply',
  json: 'json',
});

/**
 * Reads a mesh file of any known format.
 *
 * @throws FORMAT_UNKNOWN, and what the reader of the format throws
 */
export async function readMesh(source: Uint8Array, options: ReadMeshOptions = {}): Promise<MeshDocument> {
  const format = options.format ?? detectFormat(source, options.name);
  switch (format) {
    case 'obj':
      return readObj(source, options);
    case 'ply':
      return readPly(source, options);
    case 'usda':
      return readUsda(source, options);
    case 'json':
      return readExchange(source, options);
    case 'gltf':
    case 'glb':
      return readGltf(source, options);
  }
}

/**
 * Format of a file by what it starts with, else by the ending of its name; JSON is glTF when it has the
 * `asset` that glTF 2.0 requires.
 *
 * @throws FORMAT_UNKNOWN
 */
export function detectFormat(source: Uint8Array, name = ''): MeshFormat {
  const start = new TextDecoder('latin1').decode(source.subarray(0, 64)).replace(/^\xef\xbb\xbf/, '');
  if (source.length === 0) throw unknown('the input is empty', 'the bytes of a mesh file');
  if (isGlb(source)) return 'glb';
  if (/^ply[\r\n]/.test(start)) return 'ply';
  if (start.startsWith('#usda')) return 'usda';
  if (start.startsWith('PXR-USDC')) throw unknown('the file is binary OpenUSD', 'its text form, .usda');
  if (start.startsWith('PK\x03\x04')) throw unknown('the file is an archive', 'the mesh file inside it');
  const ending = /\.([a-z0-9]+)$/i.exec(name)?.[1]?.toLowerCase() ?? '';
  const named = Object.hasOwn(ENDINGS, ending) ? ENDINGS[ending] : undefined;
  if (/^\s*\{/.test(start)) {
    if (named === 'gltf' || named === 'json') return named;
    return /"asset"\s*:\s*\{/.test(new TextDecoder('latin1').decode(source.subarray(0, 1 << 16)))
      ? 'gltf'
      : 'json';
  }
  if (named === 'glb') throw unknown('the file does not start as GLB', 'the bytes "glTF"');
  if (named) return named;
  if (/^\s*(#|v|vn|vt|o|g|mtllib|usemtl|f)(\s|$)/.test(start)) return 'obj';
  throw unknown(
    `the format of ${name ? quoteText(name) : 'the input'} is not known, got ${quoteText(start.slice(0, 16))}`,
    'OBJ, glTF, GLB, USDA, PLY or exchange JSON',
  );
}

const unknown = (problem: string, expected: string): FormatError =>
  new FormatError('FORMAT_UNKNOWN', `readMesh: ${problem}, expected ${expected}`);
