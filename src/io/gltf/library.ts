import type { JSONDocument, PlatformIO } from '@gltf-transform/core';
import { FormatError, SeamwrightError } from '../../errors.js';
import { quoteText } from '../scan-bytes.js';
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
export function openDocument(
  { io }: GltfLibrary,
  json: GltfJson,
  resources: Readonly<Record<string, Uint8Array>>,
  caller: string,
): Promise<import('@gltf-transform/core').Document> {
  const parts = { json: structuredClone(json), resources: { ...resources } } as unknown as JSONDocument;
  return asFormatErrors(caller, () => io.readJSON(parts));
}

/**
 * Runs what touches the library's document. What we do not check ourselves in a broken file (materials,
 * extensions, animations) makes the library fail in ways of its own, which become FORMAT_INVALID.
 */
export async function asFormatErrors<T>(caller: string, run: () => T | Promise<T>): Promise<T> {
  try {
    return await run();
  } catch (cause) {
    if (cause instanceof SeamwrightError) throw cause;
    const message = quoteText(String((cause as Error)?.message ?? cause));
    throw new FormatError('FORMAT_INVALID', `${caller}: the glTF is broken: ${message}`, {}, { cause });
  }
}
