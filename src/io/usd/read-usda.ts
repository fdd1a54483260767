import { InvalidMeshError } from '../../errors.js';
import { spreadUvs } from '../corner-uvs.js';
import { GrowableFloats, GrowableInts } from '../growable.js';
import type { ReadLimits } from '../limits.js';
import { checkByteLength, checkElementCount, resolveLimits } from '../limits.js';
import type { Matrix4 } from '../matrices.js';
import { determinant, IDENTITY, multiply, transformPoint } from '../matrices.js';
import { toBytes } from '../scan-bytes.js';
import type { SeamRecord } from '../seam-records.js';
import { CHART_FAMILY, SEAM_FAMILY, seamOfSubset } from '../seam-records.js';
import type { FaceGroup, SourceDocument } from '../source-document.js';
import type { ByteRange, UsdaPrim, UsdaProperty } from './parse-usda.js';
import { findMetadata, parseUsda, readText } from './parse-usda.js';
import { primTransform } from './prim-transform.js';
import type { UsdaScanner } from './usda-scanner.js';
import { readNumbers } from './usda-scanner.js';

/** A .usda file that has been read, with every byte kept. */
export interface UsdaDocument extends SourceDocument {
  readonly format: 'usda';
  /** The file as it was read. */
  readonly source: Uint8Array;
  /** The Mesh prims, in face order. */
  readonly prims: readonly UsdaMeshPrim[];
  readonly seams: readonly SeamRecord[];
}

/** Where a Mesh prim's points, faces and corners stand in the document's mesh. */
export interface UsdaMeshPrim {
  readonly path: string;
  /** Byte of the file at which the prim starts. */
  readonly offset: number;
  readonly subdivisionScheme: string;
  /** From the prim's points to the document's, column-major, acting on column vectors. */
  readonly matrix: Matrix4;
  /** Whether the document lists the corners of each face the other way round (left-handed or mirrored prims). */
  readonly isReversed: boolean;
  readonly firstPoint: number;
  readonly pointCount: number;
  readonly firstFace: number;
  readonly faceCount: number;
  readonly firstCorner: number;
  readonly cornerCount: number;
}

const CALLER = 'readUsda';

/**
 * Reads the Mesh prims of an OpenUSD ASCII layer as one mesh, each moved by its transforms: points,
 * faceVertexCounts, faceVertexIndices, orientation, subdivisionScheme, UVs (`primvars:st`, else the first
 * primvar of a texCoord2 type) and GeomSubsets. References, payloads and variants are not followed; of time
 * samples the first one counts.
 *
 * @throws FORMAT_INVALID with the line, FORMAT_TOO_LARGE, OPTION_INVALID, MESH_EMPTY without a Mesh prim
 */
export function readUsda(source: string | Uint8Array, options: ReadLimits = {}): UsdaDocument {
  const limits = resolveLimits(options, CALLER);
  checkByteLength(source.length, limits, CALLER);
  const bytes = toBytes(source);
  const layer = parseUsda(bytes, CALLER);
  const collector = new Collector(layer.scanner, limits);
  for (const prim of layer.prims) collector.addPrim(prim, IDENTITY);
  const upAxis = readText(layer.scanner, findMetadata(layer.scanner, layer.metadata, 'upAxis'));
  const metersPerUnit = findMetadata(layer.scanner, layer.metadata, 'metersPerUnit');
  return collector.finish(bytes, upAxis, metersPerUnit);
}

class Collector {
  readonly #scanner: UsdaScanner;
  readonly #limits: Required<ReadLimits>;
  readonly #points = new GrowableFloats();
  readonly #faceCounts = new GrowableInts();
  readonly #cornerPoints = new GrowableInts();
  readonly #cornerUvs = new GrowableFloats();
  readonly #prims: UsdaMeshPrim[] = [];
  readonly #faceGroups: FaceGroup[] = [];
  readonly #seams: SeamRecord[] = [];
  readonly #warnings: string[] = [];
  #hasUvs = false;
  #variants = 0;
  #samples = 0;

  constructor(scanner: UsdaScanner, limits: Required<ReadLimits>) {
    this.#scanner = scanner;
    this.#limits = limits;
  }

  addPrim(prim: UsdaPrim, parent: Matrix4): void {
    if (prim.hasVariants) this.#variants++;
    if (prim.specifier !== 'def' || this.#isInactive(prim)) return;
    const own = primTransform(prim, this.#scanner);
    const matrix = own.resetsStack ? own.matrix : multiply(parent, own.matrix);
    if (prim.type === 'Mesh') this.#addMesh(prim, matrix);
    for (const child of prim.children) this.addPrim(child, matrix);
  }

  #isInactive(prim: UsdaPrim): boolean {
    const active = findMetadata(this.#scanner, prim.metadata, 'active');
    return active !== undefined && this.#scanner.bytes[active.start] === 102 /* false */;
  }

  #addMesh(prim: UsdaPrim, matrix: Matrix4): void {
    const scanner = this.#scanner;
    const localPoints = new GrowableFloats();
    const counts = new GrowableInts();
    const indices = new GrowableInts();
    this.#readArray(prim, 'points', localPoints);
    this.#readArray(prim, 'faceVertexCounts', counts);
    this.#readArray(prim, 'faceVertexIndices', indices);
    if (counts.length === 0) return;
    const pointCount = localPoints.length / 3;
    this.#checkTopology(prim, localPoints.length, counts, indices);
    const isLeftHanded = readText(scanner, prim.properties.get('orientation')?.value) === 'leftHanded';
    const range: UsdaMeshPrim = {
      path: prim.path,
      offset: prim.start,
      subdivisionScheme: readText(scanner, prim.properties.get('subdivisionScheme')?.value) ?? 'catmullClark',
      matrix,
      isReversed: isLeftHanded !== determinant(matrix) < 0,
      firstPoint: this.#points.length / 3,
      pointCount,
      firstFace: this.#faceCounts.length,
      faceCount: counts.length,
      firstCorner: this.#cornerPoints.length,
      cornerCount: indices.length,
    };
    const moved = localPoints.toArray();
    for (let i = 0; i < pointCount; i++) transformPoint(matrix, moved, i);
    for (const value of moved) {
      if (!Number.isFinite(value))
        throw scanner.error(prim.start, `the points of ${prim.path.slice(0, 80)} are not finite`);
      this.#points.push(value);
    }
    const uvs = this.#readUvs(prim, indices, pointCount);
    this.#hasUvs ||= uvs !== undefined;
    for (let f = 0, first = 0; f < counts.length; f++) {
      const size = counts.at(f);
      this.#faceCounts.push(size);
      for (let k = 0; k < size; k++) {
        const corner = first + localCorner(k, size, range.isReversed);
        this.#cornerPoints.push(range.firstPoint + indices.at(corner));
        this.#cornerUvs.push(uvs ? uvs[2 * corner]! : Number.NaN);
        this.#cornerUvs.push(uvs ? uvs[2 * corner + 1]! : Number.NaN);
      }
      first += size;
    }
    checkElementCount(this.#cornerPoints.length, 'corners', this.#limits, CALLER);
    this.#prims.push(range);
    const faces = Int32Array.from({ length: range.faceCount }, (_, f) => range.firstFace + f);
    this.#faceGroups.push({ name: prim.path, kind: 'object', faces });
    for (const child of prim.children) if (child.type === 'GeomSubset') this.#addSubset(child, range);
  }

  #checkTopology(prim: UsdaPrim, coordinates: number, counts: GrowableInts, indices: GrowableInts): void {
    const fail = (name: string, problem: string): never => {
      const { start } = findProperty(prim, name) ?? prim;
      throw this.#scanner.error(start, `${name} of ${prim.path.slice(0, 80)} is not valid: ${problem}`);
    };
    if (coordinates % 3 !== 0) fail('points', `got ${coordinates} numbers, expected a multiple of 3`);
    let corners = 0;
    for (let f = 0; f < counts.length; f++) {
      if (counts.at(f) < 3) fail('faceVertexCounts', `got ${counts.at(f)}, expected at least 3`);
      corners += counts.at(f);
    }
    if (corners !== indices.length)
      fail(
        'faceVertexIndices',
        `got ${indices.length} numbers, expected ${corners}, the sum of faceVertexCounts`,
      );
    for (let c = 0; c < indices.length; c++) {
      if (!(indices.at(c) >= 0 && indices.at(c) < coordinates / 3)) {
        fail('faceVertexIndices', `got ${indices.at(c)}, expected 0 to ${coordinates / 3 - 1}`);
      }
    }
  }

  /** Per-corner UVs of the prim, in the prim's own corner order. */
  #readUvs(prim: UsdaPrim, cornerPoints: GrowableInts, pointCount: number): Float64Array | undefined {
    const name = findUvPrimvar(prim);
    if (!name) return undefined;
    const property = findProperty(prim, name)!;
    const values = new GrowableFloats();
    this.#readArray(prim, name, values);
    const indices = new GrowableInts();
    this.#readArray(prim, `${name}:indices`, indices);
    const interpolation = readText(
      this.#scanner,
      findMetadata(this.#scanner, property.metadata, 'interpolation'),
    );
    const isPerPoint = interpolation === 'vertex' || interpolation === 'varying';
    const wanted = isPerPoint ? pointCount : cornerPoints.length;
    const given = indices.length > 0 ? indices.length : values.length / 2;
    if ((!isPerPoint && interpolation !== 'faceVarying') || given !== wanted) {
      this.#warnings.push(
        `${prim.path.slice(0, 80)}: ${name} does not fit the mesh (${given} values for ${wanted} elements); its UVs are ignored`,
      );
      return undefined;
    }
    const cornerIndices = new Int32Array(cornerPoints.length);
    for (let c = 0; c < cornerIndices.length; c++) {
      const element = isPerPoint ? cornerPoints.at(c) : c;
      const index = indices.length > 0 ? indices.at(element) : element;
      cornerIndices[c] = index >= 0 && index < values.length / 2 ? index : -1;
    }
    return spreadUvs({ values: values.toArray(), cornerIndices });
  }

  #addSubset(prim: UsdaPrim, mesh: UsdaMeshPrim): void {
    const scanner = this.#scanner;
    const indices = new GrowableInts();
    this.#readArray(prim, 'indices', indices);
    const elementType = readText(scanner, prim.properties.get('elementType')?.value) ?? 'face';
    const familyName = readText(scanner, prim.properties.get('familyName')?.value) ?? '';
    if (elementType !== 'face' && elementType !== 'edge') return;
    const isFace = elementType === 'face';
    const count = isFace ? mesh.faceCount : mesh.pointCount;
    for (let i = 0; i < indices.length; i++) {
      if (indices.at(i) >= 0 && indices.at(i) < count) continue;
      throw scanner.error(
        prim.start,
        `indices of ${prim.path.slice(0, 80)} are not valid: got ${indices.at(i)}, expected 0 to ${count - 1}`,
      );
    }
    const first = isFace ? mesh.firstFace : mesh.firstPoint;
    const global = indices.toArray().map((index) => first + index);
    if (!isFace) {
      if (familyName === SEAM_FAMILY) this.#seams.push(seamOfSubset(global, this.#readCustomData(prim)));
    } else if (familyName !== CHART_FAMILY) {
      const kind = familyName === 'materialBind' ? 'material' : 'subset';
      this.#faceGroups.push({ name: prim.name, kind, faces: Int32Array.from(new Set(global)).sort() });
    }
  }

  #readCustomData(prim: UsdaPrim): Record<string, string | number> {
    const block = findMetadata(this.#scanner, prim.metadata, 'customData');
    if (!block) return {};
    const text = new TextDecoder().decode(this.#scanner.bytes.subarray(block.start, block.end));
    const data: Record<string, string | number> = {};
    for (const [, name, value] of text.matchAll(
      /^\s*(?:string|double)\s+(role|part|side|length|exposure|reason) = (.*?);?\s*$/gm,
    )) {
      data[name!] = value!.startsWith('"') ? value!.slice(1, -1).replace(/\\(.)/g, '$1') : Number(value);
    }
    return data;
  }

  #readArray(prim: UsdaPrim, name: string, target: GrowableFloats | GrowableInts): void {
    const property = findProperty(prim, name);
    if (!property?.value) return;
    const range = property.name.endsWith('.timeSamples') ? this.#firstSample(property.value) : property.value;
    if (target instanceof GrowableFloats) readNumbers(this.#scanner, range.start, range.end, target);
    else this.#readIntegers(prim, name, range, target);
  }

  #readIntegers(prim: UsdaPrim, name: string, range: ByteRange, target: GrowableInts): void {
    readNumbers(this.#scanner, range.start, range.end, {
      push: (value) => {
        if (!Number.isInteger(value) || Math.abs(value) > 0x7fffffff) {
          throw this.#scanner.error(
            range.start,
            `${name} of ${prim.path.slice(0, 80)} is not valid: got ${value}, expected whole numbers`,
          );
        }
        target.push(value);
      },
    });
  }

  /** The value of the first of `{ 1: […], 2: […] }`. */
  #firstSample(value: ByteRange): ByteRange {
    this.#samples++;
    const scanner = this.#scanner;
    const end = scanner.offset;
    const start = scanner.bytes.indexOf(91 /* [ */, value.start);
    if (start < 0 || start >= value.end)
      throw scanner.error(value.start, 'time samples hold no array, expected { 0: [ … ] }');
    scanner.offset = start;
    scanner.skipValue();
    const sample = { start, end: scanner.offset };
    scanner.offset = end;
    return sample;
  }

  finish(source: Uint8Array, upAxis: string | undefined, metersPerUnit: ByteRange | undefined): UsdaDocument {
    if (this.#prims.length === 0) {
      throw new InvalidMeshError(
        'MESH_EMPTY',
        `${CALLER}: the layer defines no mesh with faces, expected a Mesh prim; references and variants are not followed`,
      );
    }
    if (this.#variants > 0)
      this.#warnings.push(
        `${this.#variants} prims have variants; what they hold is kept in the file and ignored`,
      );
    if (this.#samples > 0) this.#warnings.push('some arrays are animated; their first time sample is used');
    const scale: number[] = [];
    if (metersPerUnit) readNumbers(this.#scanner, metersPerUnit.start, metersPerUnit.end, scale);
    const axis = upAxis?.toLowerCase();
    return {
      format: 'usda',
      source,
      mesh: {
        points: this.#points.toArray(),
        faceVertexCounts: this.#faceCounts.toArray(),
        faceVertexIndices: this.#cornerPoints.toArray(),
      },
      faceGroups: this.#faceGroups,
      ...(this.#hasUvs && { cornerUvs: this.#cornerUvs.toArray() }),
      seams: this.#seams,
      // The fallback values of the stage metadata in OpenUSD: Y, and centimetres.
      upAxis: axis === 'x' || axis === 'z' ? axis : 'y',
      metersPerUnit: scale[0]! > 0 ? scale[0]! : 0.01,
      prims: this.#prims,
      warnings: this.#warnings,
    };
  }
}

/** Corner of the prim's face that the document lists at place `k`. */
export const localCorner = (k: number, size: number, isReversed: boolean): number =>
  isReversed ? (size - k) % size : k;

const findProperty = (prim: UsdaPrim, name: string): UsdaProperty | undefined =>
  prim.properties.get(name) ?? prim.properties.get(`${name}.timeSamples`);

/** Name of the primvar that holds the UVs: st, or the first of a texCoord2 type. */
function findUvPrimvar(prim: UsdaPrim): string | undefined {
  if (findProperty(prim, 'primvars:st')) return 'primvars:st';
  for (const { type, name } of prim.properties.values()) {
    if (/^texCoord2[fdh]\[\]$/.test(type) && /^primvars:[^.]*$/.test(name)) return name;
  }
  return undefined;
}
