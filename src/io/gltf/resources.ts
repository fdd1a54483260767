import { FormatError } from '../../errors.js';
import { quoteText } from '../scan-bytes.js';
import type { GltfJson } from './container.js';

/** Gives the bytes behind a relative URI of a .gltf file. */
export type ReadResource = (uri: string) => Uint8Array | Promise<Uint8Array>;

/**
 * Bytes of every buffer and image that the JSON names by a relative URI. Data URIs are left to the library;
 * other schemes are refused, so that reading a file never reaches a network.
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
      if (uri === undefined || (typeof uri === 'string' && uri.startsWith('data:'))) continue;
      if (typeof uri !== 'string' || /^[a-z][a-z0-9+.-]*:/i.test(uri) || uri.startsWith('//') || uri in {}) {
        throw new FormatError(
          'FORMAT_INVALID',
          `${caller}: bad URI, got ${quoteText(String(uri))}, expected a relative path or a data URI`,
        );
      }
      if (resources.has(uri)) continue;
      if (!readResource) {
        throw new FormatError(
          'FILE_UNREADABLE',
          `${caller}: the file needs ${quoteText(uri)} beside it, expected the option readResource to supply it`,
          { uri },
        );
      }
      resources.set(uri, await readResource(uri));
    }
  }
  return Object.fromEntries(resources);
}
