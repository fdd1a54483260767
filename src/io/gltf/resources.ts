import { FormatError } from '../../errors.js';
import { quoteText } from '../scan-bytes.js';
import type { GltfJson } from './container.js';

/** Gives the bytes behind a relative URI of a .gltf file. */
export type ReadResource = (uri: string) => Uint8Array | Promise<Uint8Array>;

/**
 * Bytes of every buffer and image that the JSON names by a URI, by that URI. Other schemes than `data:` are
 * refused, so that reading a file never reaches a network.
 *
 * @throws FILE_UNREADABLE, FORMAT_INVALID
 */
export async function loadResources(
  json: GltfJson,
  readResource: ReadResource | undefined,
  caller: string,
): Promise<Record<string, Uint8Array>> {
  const resources = new Map<string, Uint8Array>();
  for (const list of [json.buffers, json.images]) {
    if (!Array.isArray(list)) continue;
    for (const item of list) {
      const uri: unknown = item?.uri;
      if (uri === undefined || resources.has(uri as string)) continue;
      if (typeof uri === 'string' && uri.startsWith('data:')) resources.set(uri, decodeDataUri(uri, caller));
      else resources.set(checkUri(uri, caller), await readRelative(uri as string, readResource, caller));
    }
  }
  return Object.fromEntries(resources);
}

async function readRelative(
  uri: string,
  readResource: ReadResource | undefined,
  caller: string,
): Promise<Uint8Array> {
  if (readResource) return await readResource(uri);
  throw new FormatError(
    'FILE_UNREADABLE',
    `${caller}: the file needs ${quoteText(uri)} beside it, expected the option readResource to supply it`,
    { uri },
  );
}

function checkUri(uri: unknown, caller: string): string {
  const isRelative = typeof uri === 'string' && !/^([a-z][a-z0-9+.-]*:|\/\/)/i.test(uri) && !(uri in {});
  if (isRelative) return uri;
  throw new FormatError(
    'FORMAT_INVALID',
    `${caller}: bad URI, got ${quoteText(String(uri))}, expected a relative path or a data URI`,
  );
}

/**
 * Decoded here and not by the library: that takes broken base64, which comes out shorter than its length says,
 * and then hands out whatever lies in memory behind it.
 */
function decodeDataUri(uri: string, caller: string): Uint8Array {
  const comma = uri.indexOf(',');
  try {
    if (comma < 0) throw new Error('no comma');
    const data = uri.slice(comma + 1);
    if (!uri.slice(0, comma).endsWith(';base64')) return new TextEncoder().encode(decodeURIComponent(data));
    const binary = atob(data);
    const bytes = new Uint8Array(binary.length);
    for (let i = 0; i < binary.length; i++) bytes[i] = binary.charCodeAt(i);
    return bytes;
  } catch (cause) {
    throw new FormatError(
      'FORMAT_INVALID',
      `${caller}: bad data URI, got ${quoteText(uri)}, expected base64 or percent-encoded text`,
      {},
      { cause },
    );
  }
}
