import type { Accessor, Document, Material, Primitive } from '@gltf-transform/core';
import { InvalidOptionError } from '../../errors.js';
import { checkCornerUvs } from '../corner-uvs.js';
import { buildGlb } from './container.js';
import { asFormatErrors, loadGltfLibrary, openDocument } from './library.js';
import type { GltfDocument } from './read-gltf.js';
import { restoreJson } from './restore-json.js';
import type { VertexSplit } from './split-vertices.js';
import { splitVertices } from './split-vertices.js';
import { isDegenerate, listTriangles } from './triangles.js';

export interface WriteGltfOptions {
  /**
   * Which TEXCOORD set to write; sets are numbered without gaps, so a primitive needs all lower ones. Range:
   * whole numbers from 0.
   * @defaultValue 0
   */
  readonly texCoord?: number;
}

const CALLER = 'writeGltf';

/**
 * Writes a glTF file as GLB with new UVs. Vertices are split where their corners differ in UV and nowhere
 * else; positions, normals, colours, joints, weights, morph targets and other TEXCOORD sets go along with
 * their vertex, and skins, animations, materials, nodes and extras stay. Tangents that were made for the
 * replaced UVs are dropped, for viewers to make anew (glTF 2.0, 3.7.2.1). UVs get glTF's upper-left origin.
 *
 * @param cornerUvs - 2 × cornerCount, lower-left origin; a corner with NaN takes its vertex as it is
 * @throws UV_INVALID, OPTION_INVALID, FORMAT_INVALID
 */
export async function writeGltf(
  source: GltfDocument,
  cornerUvs: ArrayLike<number>,
  options: WriteGltfOptions = {},
): Promise<Uint8Array> {
  const texCoord = resolveTexCoord(options.texCoord ?? 0);
  checkCornerUvs(cornerUvs, source.cornerVertices.length, CALLER);
  const library = await loadGltfLibrary();
  const document = await openDocument(library, source.source.json, source.source.resources, CALLER);
  const written = await asFormatErrors(CALLER, () => {
    for (const stream of listStreams(document, source)) {
      writeStream(document, source, stream, cornerUvs, texCoord);
    }
    mergeBuffers(document);
    return library.io.writeJSON(document, { format: library.core.Format.GLB });
  });
  const json = restoreJson(source.source.json, written.json, library.knownExtensions);
  return buildGlb(json, Object.values(written.resources)[0]);
}

/** Primitives that use the very same vertices, and so are split together. */
interface Stream {
  readonly primitives: {
    readonly primitive: Primitive;
    readonly firstFace: number;
    readonly faceCount: number;
  }[];
}

function listStreams(document: Document, source: GltfDocument): Stream[] {
  const ids = new Map<Accessor, number>();
  const id = (accessor: Accessor): number => {
    if (!ids.has(accessor)) ids.set(accessor, ids.size);
    return ids.get(accessor)!;
  };
  const meshes = document.getRoot().listMeshes();
  const streams = new Map<string, Stream>();
  for (const { mesh, primitive: index, firstFace, faceCount } of source.primitives) {
    const primitive = meshes[mesh]!.listPrimitives()[index]!;
    const key = [primitive, ...primitive.listTargets()]
      .map((holder) =>
        holder
          .listSemantics()
          .sort()
          .map((name) => `${name}=${id(holder.getAttribute(name)!)}`)
          .join(),
      )
      .join(';');
    const stream = streams.get(key) ?? { primitives: [] };
    stream.primitives.push({ primitive, firstFace, faceCount });
    streams.set(key, stream);
  }
  return [...streams.values()];
}

function writeStream(
  document: Document,
  source: GltfDocument,
  { primitives }: Stream,
  cornerUvs: ArrayLike<number>,
  texCoord: number,
): void {
  const first = primitives[0]!.primitive;
  checkLowerSets(first, texCoord);
  const corners = primitives.flatMap(({ firstFace, faceCount }) =>
    Array.from({ length: 3 * faceCount }, (_, k) => 3 * firstFace + k),
  );
  const flippedUvs = new Float64Array(2 * corners.length);
  corners.forEach((corner, i) => {
    flippedUvs[2 * i] = cornerUvs[2 * corner]!;
    flippedUvs[2 * i + 1] = 1 - cornerUvs[2 * corner + 1]!;
  });
  const vertexCount = first.getAttribute('POSITION')!.getCount();
  const split = splitVertices(
    vertexCount,
    corners.map((corner) => source.cornerVertices[corner]!),
    flippedUvs,
  );

  const replaced = new Set<Accessor>();
  if (split.sources.length > vertexCount) {
    let corner = 0;
    for (const { primitive, faceCount } of primitives) {
      // One without faces names no split vertex.
      if (faceCount > 0) setTriangles(document, primitive, split, corner, replaced);
      corner += 3 * faceCount;
    }
    extendAttributes(
      primitives.map(({ primitive }) => primitive),
      split,
      replaced,
    );
  }
  const uvs = document
    .createAccessor()
    .setType('VEC2')
    .setArray(split.uvs as Float32Array<ArrayBuffer>)
    .setBuffer(first.getAttribute('POSITION')!.getBuffer());
  for (const { primitive } of primitives) {
    const old = primitive.getAttribute(`TEXCOORD_${texCoord}`);
    if (old) replaced.add(old);
    primitive.setAttribute(`TEXCOORD_${texCoord}`, uvs);
    if (tangentSet(primitive.getMaterial()) === texCoord) dropTangents(primitive, replaced);
  }
  for (const accessor of replaced) {
    if (accessor.listParents().every((parent) => parent.propertyType === 'Root')) accessor.dispose();
  }
}

/** Writes the primitive's triangles with the new vertices; strips and fans become triangles. */
function setTriangles(
  document: Document,
  primitive: Primitive,
  split: VertexSplit,
  firstCorner: number,
  replaced: Set<Accessor>,
): void {
  const triangles = listTriangles(primitive, CALLER)!;
  const renamed = new Map<number, number>();
  const isLarge = split.sources.length > 0xffff;
  const indices = isLarge ? new Uint32Array(triangles.length) : new Uint16Array(triangles.length);
  let corner = firstCorner;
  for (let t = 0; 3 * t < triangles.length; t++) {
    if (isDegenerate(triangles, t)) {
      for (let k = 3 * t; k < 3 * t + 3; k++) indices[k] = triangles[k]!;
      continue;
    }
    // The reader may have turned the triangle round, so corners are matched by their old vertex.
    renamed.clear();
    for (let k = 0; k < 3; k++, corner++) {
      const vertex = split.cornerVertices[corner]!;
      renamed.set(split.sources[vertex]!, vertex);
    }
    for (let k = 3 * t; k < 3 * t + 3; k++) indices[k] = renamed.get(triangles[k]!)!;
  }
  const old = primitive.getIndices();
  if (old) replaced.add(old);
  const buffer = (old ?? primitive.getAttribute('POSITION')!).getBuffer();
  const accessor = document
    .createAccessor(old?.getName() ?? '')
    .setType('SCALAR')
    .setArray(indices as Uint16Array<ArrayBuffer> | Uint32Array<ArrayBuffer>)
    .setBuffer(buffer);
  primitive.setIndices(accessor).setMode(4);
}

/** Replaces every attribute of the primitives and their morph targets by one with the split vertices. */
function extendAttributes(
  primitives: readonly Primitive[],
  split: VertexSplit,
  replaced: Set<Accessor>,
): void {
  const extended = new Map<Accessor, Accessor>();
  for (const primitive of primitives) {
    for (const holder of [primitive, ...primitive.listTargets()]) {
      for (const semantic of holder.listSemantics()) {
        const old = holder.getAttribute(semantic)!;
        let accessor = extended.get(old);
        if (!accessor) {
          accessor = extendAccessor(old, split.sources);
          extended.set(old, accessor);
          replaced.add(old);
        }
        holder.setAttribute(semantic, accessor);
      }
    }
  }
}

function extendAccessor(old: Accessor, sources: Int32Array): Accessor {
  const array = old.getArray()!;
  const size = old.getElementSize();
  const extended = new (array.constructor as new (length: number) => typeof array)(size * sources.length);
  for (let i = 0; i < sources.length; i++) {
    for (let k = 0; k < size; k++) extended[size * i + k] = array[size * sources[i]! + k]!;
  }
  return old.clone().setArray(extended);
}

/** The TEXCOORD set that stored tangents belong to: that of the normal texture, else the first. */
const tangentSet = (material: Material | null): number =>
  material?.getNormalTexture() ? (material.getNormalTextureInfo()?.getTexCoord() ?? 0) : 0;

function dropTangents(primitive: Primitive, replaced: Set<Accessor>): void {
  for (const holder of [primitive, ...primitive.listTargets()]) {
    const tangents = holder.getAttribute('TANGENT');
    if (!tangents) continue;
    replaced.add(tangents);
    holder.setAttribute('TANGENT', null);
  }
}

/** A GLB has one buffer at most. */
function mergeBuffers(document: Document): void {
  const root = document.getRoot();
  const [first, ...others] = root.listBuffers();
  const buffer = first ?? document.createBuffer();
  for (const accessor of root.listAccessors()) accessor.setBuffer(buffer);
  for (const other of others) other.dispose();
}

function resolveTexCoord(texCoord: number): number {
  if (Number.isInteger(texCoord) && texCoord >= 0) return texCoord;
  throw new InvalidOptionError(
    'OPTION_INVALID',
    `${CALLER}: the option texCoord is out of range, got ${texCoord}, expected a whole number from 0`,
    { option: 'texCoord', value: texCoord },
  );
}

function checkLowerSets(primitive: Primitive, texCoord: number): void {
  for (let set = 0; set < texCoord; set++) {
    if (primitive.getAttribute(`TEXCOORD_${set}`)) continue;
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `${CALLER}: the option texCoord leaves a gap, got ${texCoord}, expected at most ${set}, the first set that is free`,
      { option: 'texCoord', value: texCoord },
    );
  }
}
