import type { Accessor, Primitive } from '@gltf-transform/core';
import { FormatError, InvalidMeshError } from '../../errors.js';
import { GroupRuns } from '../group-runs.js';
import { GrowableFloats, GrowableInts } from '../growable.js';
import type { ReadLimits } from '../limits.js';
import { checkByteLength, checkElementCount, resolveLimits } from '../limits.js';
import { determinant, transformPoint } from '../matrices.js';
import { quoteText } from '../scan-bytes.js';
import type { SourceDocument } from '../source-document.js';
import { checkGltf } from './check-gltf.js';
import type { GltfJson } from './container.js';
import { isGlb, openContainer } from './container.js';
import { asFormatErrors, loadGltfLibrary, openDocument } from './library.js';
import type { Placement } from './placements.js';
import { placeMeshes } from './placements.js';
import type { ReadResource } from './resources.js';
import { loadResources } from './resources.js';
import { sortUnknown } from './restore-json.js';
import { isDegenerate, listTriangles } from './triangles.js';

export interface ReadGltfOptions extends ReadLimits {
  /**
   * Supplies the files that a .gltf names by relative URIs.
   * @defaultValue none: such a file is refused
   */
  readonly readResource?: ReadResource;
  /**
   * Which TEXCOORD set to read. Range: whole numbers from 0.
   * @defaultValue 0
   */
  readonly texCoord?: number;
}

/** A glTF file that has been read. */
export interface GltfDocument extends SourceDocument {
  readonly format: 'gltf' | 'glb';
  /** The file taken apart. */
  readonly source: { readonly json: GltfJson; readonly resources: Readonly<Record<string, Uint8Array>> };
  /** The primitives whose triangles are the faces, in face order. */
  readonly primitives: readonly GltfPrimitive[];
  /** Vertex, inside its primitive, of each corner. */
  readonly cornerVertices: Int32Array;
}

export interface GltfPrimitive {
  /** Index of the glTF mesh, and of the primitive in it. */
  readonly mesh: number;
  readonly primitive: number;
  readonly firstFace: number;
  readonly faceCount: number;
}

const CALLER = 'readGltf';

/**
 * Reads the triangles of a glTF 2.0 or GLB file as one mesh, placed as the default scene places them.
 * Primitives that share their positions share points; vertices that a file splits are joined by `buildMesh`
 * where they coincide. Triangles that name a vertex twice are no faces, but stay in the file when it is
 * written. UVs are turned to a lower-left origin: glTF's is the upper left corner (glTF 2.0, 3.8.3).
 *
 * @throws FORMAT_INVALID, FORMAT_TOO_LARGE, FILE_UNREADABLE, OPTION_INVALID, MESH_EMPTY without triangles
 */
export async function readGltf(
  source: string | Uint8Array,
  options: ReadGltfOptions = {},
): Promise<GltfDocument> {
  const limits = resolveLimits(options, CALLER);
  checkByteLength(source.length, limits, CALLER);
  const isBinary = typeof source !== 'string' && isGlb(source);
  const { json, binary } = openContainer(source, CALLER);
  const resources = await loadResources(json, options.readResource, CALLER);
  const library = await loadGltfLibrary();
  checkGltf(json, bufferLengths(json, binary, resources), limits, CALLER);
  checkExtensions(json, library.knownExtensions);
  const all = binary ? { ...resources, [library.core.GLB_BUFFER]: binary } : resources;
  const document = await openDocument(library, json, all, CALLER);
  const collector = new Collector(limits, options.texCoord ?? 0);
  await asFormatErrors(CALLER, () => {
    const meshes = document.getRoot().listMeshes();
    for (const placement of placeMeshes(document)) {
      collector.addMesh(placement, meshes.indexOf(placement.mesh));
    }
  });
  return collector.finish(
    isBinary ? 'glb' : 'gltf',
    { json, resources: all },
    sortUnknown(json, library.knownExtensions).lost,
  );
}

class Collector {
  readonly #limits: Required<ReadLimits>;
  readonly #texCoord: number;
  readonly #points = new GrowableFloats();
  readonly #cornerPoints = new GrowableInts();
  readonly #cornerVertices = new GrowableInts();
  readonly #cornerUvs = new GrowableFloats();
  readonly #primitives: GltfPrimitive[] = [];
  readonly #groups = new GroupRuns();
  #dropped = 0;
  #hasUvs = false;

  constructor(limits: Required<ReadLimits>, texCoord: number) {
    this.#limits = limits;
    this.#texCoord = texCoord;
  }

  addMesh({ mesh, matrix }: Placement, meshIndex: number): void {
    const isMirrored = determinant(matrix) < 0;
    const firstPoints = new Map<Accessor, number>();
    mesh.listPrimitives().forEach((primitive, primitiveIndex) => {
      const triangles = listTriangles(primitive, CALLER);
      if (!triangles) return;
      const positions = primitive.getAttribute('POSITION')!;
      let firstPoint = firstPoints.get(positions);
      if (firstPoint === undefined) {
        firstPoint = this.#addPoints(positions, matrix);
        firstPoints.set(positions, firstPoint);
      }
      const firstFace = this.#cornerPoints.length / 3;
      this.#groups.set('object', [nameOf(mesh, `mesh_${meshIndex}`)], firstFace);
      const material = primitive.getMaterial();
      this.#groups.set('material', material ? [nameOf(material, 'unnamed')] : [], firstFace);
      this.#addTriangles(primitive, triangles, firstPoint, isMirrored);
      const faceCount = this.#cornerPoints.length / 3 - firstFace;
      this.#primitives.push({ mesh: meshIndex, primitive: primitiveIndex, firstFace, faceCount });
      checkElementCount(this.#cornerPoints.length, 'corners', this.#limits, CALLER);
    });
  }

  #addPoints(positions: Accessor, matrix: Placement['matrix']): number {
    const firstPoint = this.#points.length / 3;
    if (positions.getElementSize() !== 3) {
      throw new FormatError(
        'FORMAT_INVALID',
        `${CALLER}: POSITION has the type ${positions.getType()}, expected VEC3`,
      );
    }
    const point = [0, 0, 0];
    const moved = new Float64Array(3);
    for (let i = 0; i < positions.getCount(); i++) {
      positions.getElement(i, point);
      moved.set(point);
      transformPoint(matrix, moved, 0);
      if (!moved.every(Number.isFinite)) {
        throw new FormatError(
          'FORMAT_INVALID',
          `${CALLER}: vertex ${i} has the position ${point.join(', ')}, expected finite numbers`,
          { vertex: i },
        );
      }
      for (const value of moved) this.#points.push(value);
    }
    return firstPoint;
  }

  #addTriangles(primitive: Primitive, triangles: Int32Array, firstPoint: number, isMirrored: boolean): void {
    const texCoords = primitive.getAttribute(`TEXCOORD_${this.#texCoord}`);
    this.#hasUvs ||= texCoords !== null;
    const uv = [0, 0];
    for (let t = 0; 3 * t < triangles.length; t++) {
      if (isDegenerate(triangles, t)) {
        this.#dropped++;
        continue;
      }
      for (let k = 0; k < 3; k++) {
        // A mirroring node turns the surface inside out (glTF 2.0, 3.7.4), which the order of the corners undoes.
        const vertex = triangles[3 * t + (isMirrored ? (3 - k) % 3 : k)]!;
        this.#cornerPoints.push(firstPoint + vertex);
        this.#cornerVertices.push(vertex);
        if (texCoords) texCoords.getElement(vertex, uv);
        const hasUv = texCoords !== null && uv.every(Number.isFinite);
        this.#cornerUvs.push(hasUv ? uv[0]! : Number.NaN);
        this.#cornerUvs.push(hasUv ? 1 - uv[1]! : Number.NaN);
      }
    }
  }

  finish(
    format: 'gltf' | 'glb',
    source: GltfDocument['source'],
    unknownExtensions: readonly string[],
  ): GltfDocument {
    const faceVertexIndices = this.#cornerPoints.toArray();
    const faceCount = faceVertexIndices.length / 3;
    if (faceCount === 0) {
      throw new InvalidMeshError(
        'MESH_EMPTY',
        `${CALLER}: the file has no triangles, expected a mesh with at least one`,
      );
    }
    const warnings = unknownExtensions.map(
      (name) =>
        `the extension ${quoteText(name)} is not known here and will be missing when the file is written`,
    );
    if (this.#dropped > 0)
      warnings.push(`${this.#dropped} triangles name a vertex twice; they are kept in the file and ignored`);
    return {
      format,
      source,
      mesh: {
        points: this.#points.toArray(),
        faceVertexCounts: new Int32Array(faceCount).fill(3),
        faceVertexIndices,
      },
      faceGroups: this.#groups.finish(faceCount, this.#limits, CALLER),
      ...(this.#hasUvs && { cornerUvs: this.#cornerUvs.toArray() }),
      // glTF 2.0, 3.4: +Y is up, units are metres.
      upAxis: 'y',
      metersPerUnit: 1,
      primitives: this.#primitives,
      cornerVertices: this.#cornerVertices.toArray(),
      warnings,
    };
  }
}

/** A name in a broken file may be anything. */
function nameOf(item: { getName(): unknown }, fallback: string): string {
  const name = item.getName();
  return typeof name === 'string' && name !== '' ? name : fallback;
}

/** Bytes at hand for each buffer; checkGltf compares them with what the JSON claims. */
function bufferLengths(
  json: GltfJson,
  binary: Uint8Array | undefined,
  resources: Readonly<Record<string, Uint8Array>>,
): number[] {
  if (!Array.isArray(json.buffers)) return [];
  return json.buffers.map((buffer: { uri?: unknown } | null) => {
    const uri = buffer?.uri;
    return (typeof uri === 'string' ? resources[uri]?.length : binary?.length) ?? 0;
  });
}

const listNames = (value: unknown): string[] =>
  Array.isArray(value) ? value.filter((name) => typeof name === 'string') : [];

function checkExtensions(json: GltfJson, known: ReadonlySet<string>): void {
  const compressed = ['KHR_draco_mesh_compression', 'EXT_meshopt_compression'];
  for (const name of listNames(json.extensionsRequired)) {
    if (known.has(name) && !compressed.includes(name)) continue;
    throw new FormatError(
      'FORMAT_INVALID',
      `${CALLER}: the file requires the extension ${quoteText(name)}, expected a file without it; ${
        compressed.includes(name) ? 'decompress it first' : 'export it again without it'
      }`,
      { extension: name },
    );
  }
}
