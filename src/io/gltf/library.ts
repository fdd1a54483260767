import type { JSONDocument, PlatformIO } from '@gltf-transform/core';
import { FormatError } from '../../errors.js';
import type { GltfJson } from './container.js';

type Core = typeof import('@gltf-transform/core');

/** The glTF library and its I/O, loaded on first use so that other formats do without it. */
export interface GltfLibrary {
  readonly core: Core;
  readonly io: PlatformIO;
  readonly knownExtensions: ReadonlySet<string>;
}

let library: Promise<GltfLibrary> | undefined;

export function loadGltfLibrary(): Promise<GltfLibrary> {
  library ??= Promise.all([import('@gltf-transform/core'), import('@gltf-transform/extensions')]).then(
    ([core, { ALL_EXTENSIONS }]) => ({
      core,
      io: new core.WebIO()
        .setLogger(new core.Logger(core.Logger.Verbosity.SILENT))
        .registerExtensions(ALL_EXTENSIONS),
      knownExtensions: new Set(ALL_EXTENSIONS.map((extension) => extension.EXTENSION_NAME)),
    }),
  );
  return library;
}

/** A fresh document of the library; every call gives one of its own, which may be changed. */
export async function openDocument(
  { io }: GltfLibrary,
  json: GltfJson,
  resources: Readonly<Record<string, Uint8Array>>,
  caller: string,
): Promise<import('@gltf-transform/core').Document> {
  try {
    return await io.readJSON({
      json: structuredClone(json),
      resources: { ...resources },
    } as unknown as JSONDocument);
  } catch (cause) {
    const message = String((cause as Error)?.message ?? cause).slice(0, 200);
    throw new FormatError('FORMAT_INVALID', `${caller}: the glTF cannot be read: ${message}`, {}, { cause });
  }
}
