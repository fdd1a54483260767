import { createExchange, writeExchange } from './exchange/write-exchange.js';
import { createGlb } from './gltf/create-glb.js';
import { writeGltf } from './gltf/write-gltf.js';
import { createObj } from './obj/create-obj.js';
import { writeObjBytes } from './obj/write-obj.js';
import type { MeshDocument } from './read-mesh.js';
import type { ChartRecord, SeamRecord } from './seam-records.js';
import type { MeshFormat } from './source-document.js';
import { createUsda } from './usd/create-usda.js';
import { writeUsdaBytes } from './usd/write-usda.js';

/** The formats that are written. */
export type WrittenFormat = 'obj' | 'glb' | 'usda' | 'json';

export interface WriteOptions {
  /**
   * Format to write; another than the document's own takes its mesh, groups, UVs, seams and charts along, and
   * nothing else.
   * @defaultValue the document's own, GLB for glTF, OBJ for PLY
   */
  readonly format?: WrittenFormat;
  /** Seams for the formats that hold them (USDA, JSON). @defaultValue none */
  readonly seams?: readonly SeamRecord[];
  /** Charts for the formats that hold them (USDA, JSON). @defaultValue none */
  readonly charts?: readonly ChartRecord[];
  /** Decimals of UVs in text formats. Range 1..15. @defaultValue 9 */
  readonly decimals?: number;
  /** TEXCOORD set for glTF. @defaultValue 0 */
  readonly texCoord?: number;
}

export interface WrittenFile {
  readonly format: WrittenFormat;
  /** With its dot. */
  readonly extension: string;
  readonly bytes: Uint8Array;
}

const OWN_FORMATS: Readonly<Record<MeshFormat, WrittenFormat>> = Object.freeze({
  obj: 'obj',
  gltf: 'glb',
  glb: 'glb',
  usda: 'usda',
  ply: 'obj',
  json: 'json',
});

/**
 * Writes a document with new UVs, in its own format or another; the document is not changed and can be
 * written any number of times.
 *
 * @param cornerUvs - 2 × cornerCount, lower-left origin, NaN for a corner that has none
 * @throws UV_INVALID, OPTION_INVALID
 */
export async function writeWithUvs(
  document: MeshDocument,
  cornerUvs: ArrayLike<number>,
  options: WriteOptions = {},
): Promise<WrittenFile> {
  const format = options.format ?? OWN_FORMATS[document.format];
  return { format, extension: `.${format}`, bytes: await writeAs(format, document, cornerUvs, options) };
}

async function writeAs(
  format: WrittenFormat,
  document: MeshDocument,
  cornerUvs: ArrayLike<number>,
  options: WriteOptions,
): Promise<Uint8Array> {
  const { mesh, faceGroups } = document;
  switch (format) {
    case 'obj':
      return writeObjBytes(
        document.format === 'obj' ? document : createObj(mesh, faceGroups),
        cornerUvs,
        options,
      );
    case 'glb':
      return document.format === 'gltf' || document.format === 'glb'
        ? writeGltf(document, cornerUvs, options)
        : createGlb(mesh, cornerUvs, document);
    case 'usda':
      return writeUsdaBytes(
        document.format === 'usda' ? document : createUsda(mesh, document),
        cornerUvs,
        options,
      );
    case 'json': {
      const source =
        document.format === 'json' ? document.source : createExchange(mesh, faceGroups, document);
      return new TextEncoder().encode(writeExchange(source, cornerUvs, options));
    }
  }
}
