import { FormatError } from '../../errors.js';
import { parseJson } from '../parse-json.js';

/** glTF JSON as parsed, before anything is known of it. */
export type GltfJson = Readonly<Record<string, unknown>>;

/** A glTF file taken apart: its JSON and the bytes that stand beside it. */
export interface GltfParts {
  readonly json: GltfJson;
  /** Binary chunk of a GLB. */
  readonly binary?: Uint8Array;
}

const MAGIC = 0x46546c67;
const JSON_CHUNK = 0x4e4f534a;
const BINARY_CHUNK = 0x004e4942;

export const isGlb = (bytes: Uint8Array): boolean =>
  bytes[0] === 0x67 && bytes[1] === 0x6c && bytes[2] === 0x54 && bytes[3] === 0x46;

/** Splits a GLB into its chunks, or parses a glTF JSON. @throws FORMAT_INVALID, FORMAT_TOO_LARGE */
export function openContainer(source: string | Uint8Array, caller: string): GltfParts {
  if (typeof source === 'string' || !isGlb(source))
    return { json: asObject(parseJson(source, caller), caller) };
  const fail = (problem: string): never => {
    throw new FormatError('FORMAT_INVALID', `${caller}: ${problem}`);
  };
  const view = new DataView(source.buffer, source.byteOffset, source.byteLength);
  if (source.length < 20) fail(`the GLB is cut short, got ${source.length} bytes, expected at least 20`);
  const version = view.getUint32(4, true);
  if (version !== 2) fail(`unknown GLB version, got ${version}, expected 2`);
  const length = view.getUint32(8, true);
  if (length > source.length) fail(`the GLB is cut short, got ${source.length} bytes, expected ${length}`);
  let json: GltfJson | undefined;
  let binary: Uint8Array | undefined;
  for (let offset = 12; offset + 8 <= length; ) {
    const chunkLength = view.getUint32(offset, true);
    const type = view.getUint32(offset + 4, true);
    const end = offset + 8 + chunkLength;
    if (end > length)
      fail(
        `a GLB chunk runs over the end, got ${chunkLength} bytes, expected at most ${length - offset - 8}`,
      );
    const chunk = source.subarray(offset + 8, end);
    if (!json) {
      if (type !== JSON_CHUNK) fail('the first GLB chunk is not JSON, expected the type JSON');
      json = asObject(parseJson(chunk, caller), caller);
    } else if (type === BINARY_CHUNK) binary ??= chunk;
    offset = end;
  }
  if (!json) return fail('the GLB has no chunk, expected JSON');
  return binary ? { json, binary } : { json };
}

/** A GLB of a JSON and an optional binary chunk (glTF 2.0, chapter 4: chunks padded to 4 bytes). */
export function buildGlb(json: object, binary: Uint8Array | undefined): Uint8Array {
  const text = new TextEncoder().encode(JSON.stringify(json));
  const jsonLength = align(text.length);
  const binaryLength = binary ? align(binary.length) : 0;
  const length = 12 + 8 + jsonLength + (binary ? 8 + binaryLength : 0);
  const bytes = new Uint8Array(length);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, MAGIC, true);
  view.setUint32(4, 2, true);
  view.setUint32(8, length, true);
  view.setUint32(12, jsonLength, true);
  view.setUint32(16, JSON_CHUNK, true);
  bytes.fill(0x20, 20, 20 + jsonLength);
  bytes.set(text, 20);
  if (binary) {
    view.setUint32(20 + jsonLength, binaryLength, true);
    view.setUint32(24 + jsonLength, BINARY_CHUNK, true);
    bytes.set(binary, 28 + jsonLength);
  }
  return bytes;
}

const align = (length: number): number => Math.ceil(length / 4) * 4;

function asObject(value: unknown, caller: string): GltfJson {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) {
    throw new FormatError(
      'FORMAT_INVALID',
      `${caller}: the glTF JSON is not an object, expected { "asset": … }`,
    );
  }
  return value as GltfJson;
}
