import { FormatError, InvalidMeshError } from '../../errors.js';
import { spreadUvs } from '../corner-uvs.js';
import { GrowableFloats, GrowableInts } from '../growable.js';
import type { ReadLimits } from '../limits.js';
import { checkByteLength, checkElementCount, resolveLimits } from '../limits.js';
import { toBytes } from '../scan-bytes.js';
import type { SourceDocument } from '../source-document.js';
import type { PlyElement, PlyProperty } from './ply-header.js';
import { readPlyHeader } from './ply-header.js';
import type { PlyValues } from './ply-values.js';
import { openPlyValues } from './ply-values.js';

/** A PLY file that has been read; the format cannot be written back. */
export interface PlyDocument extends SourceDocument {
  readonly format: 'ply';
}

const CALLER = 'readPly';

/** Names under which programs store UVs of a vertex (common practice, no source). */
const UV_NAMES: readonly (readonly [string, string])[] = [
  ['s', 't'],
  ['u', 'v'],
  ['texture_u', 'texture_v'],
];

/**
 * Reads a PLY file (ASCII, or binary of either byte order): elements `vertex` with x, y, z and `face` with a
 * list `vertex_indices` or `vertex_index`; UVs from a face list `texcoord` or from vertex properties s, t or
 * u, v. Other elements and properties are passed over.
 *
 * @throws FORMAT_INVALID with the line or the byte, FORMAT_TOO_LARGE, OPTION_INVALID, MESH_EMPTY without faces
 */
export function readPly(source: string | Uint8Array, options: ReadLimits = {}): PlyDocument {
  const limits = resolveLimits(options, CALLER);
  checkByteLength(source.length, limits, CALLER);
  const bytes = toBytes(source);
  const header = readPlyHeader(bytes, CALLER);
  const values = openPlyValues(bytes, header.dataStart, header.encoding, CALLER);
  const reader = new PlyReader(values, limits);
  for (const element of header.elements) reader.readElement(element);
  return reader.finish();
}

class PlyReader {
  readonly #values: PlyValues;
  readonly #limits: Required<ReadLimits>;
  readonly #points = new GrowableFloats();
  readonly #vertexUvs = new GrowableFloats();
  readonly #faceCounts = new GrowableInts();
  readonly #cornerPoints = new GrowableInts();
  readonly #cornerUvs = new GrowableFloats();
  #hasCornerUvs = false;
  #facesSeen = 0;

  constructor(values: PlyValues, limits: Required<ReadLimits>) {
    this.#values = values;
    this.#limits = limits;
  }

  readElement(element: PlyElement): void {
    const { name, count, properties } = element;
    if (properties.length === 0) return;
    checkElementCount(count, `elements "${name.slice(0, 20)}"`, this.#limits, CALLER);
    let least = 0;
    for (const { type, countType } of properties) least += this.#values.leastSize(countType ?? type);
    if (count * least > this.#values.remaining()) {
      throw this.#error(
        `the element ${name.slice(0, 20)} does not fit into the data, got ${count} declared, expected at most ${Math.floor(this.#values.remaining() / least)}`,
      );
    }
    if (name === 'vertex') this.#readVertices(element);
    else if (name === 'face') this.#readFaces(element);
    else for (let i = 0; i < count; i++) for (const property of properties) this.#skip(property);
  }

  #readVertices({ count, properties }: PlyElement): void {
    const slots = properties.map(({ name, countType }) => (countType ? -1 : ['x', 'y', 'z'].indexOf(name)));
    const pair = UV_NAMES.find((names) =>
      names.every((name) => properties.some((p) => p.name === name && !p.countType)),
    );
    const uvSlots = properties.map(({ name }) => pair?.indexOf(name) ?? -1);
    if ([0, 1, 2].some((k) => !slots.includes(k))) {
      throw this.#error('the element vertex lacks a coordinate, expected the properties x, y and z');
    }
    const point = [0, 0, 0];
    const uv = [0, 0];
    for (let i = 0; i < count; i++) {
      for (let k = 0; k < properties.length; k++) {
        if (slots[k]! < 0 && uvSlots[k]! < 0) this.#skip(properties[k]!);
        else {
          const value = this.#values.next(properties[k]!.type);
          if (slots[k]! >= 0) {
            if (!Number.isFinite(value))
              throw this.#error(`vertex ${i} has the coordinate ${value}, expected a finite number`);
            point[slots[k]!] = value;
          } else uv[uvSlots[k]!] = Number.isFinite(value) ? value : Number.NaN;
        }
      }
      for (const value of point) this.#points.push(value);
      if (pair) for (const value of uv) this.#vertexUvs.push(value);
    }
  }

  #readFaces({ count, properties }: PlyElement): void {
    const corners = properties.find(
      ({ name, countType }) => countType && (name === 'vertex_indices' || name === 'vertex_index'),
    );
    if (!corners) throw this.#error('the element face lacks its corners, expected a list vertex_indices');
    const uvs = properties.find(({ name, countType }) => countType && name === 'texcoord');
    this.#hasCornerUvs ||= uvs !== undefined;
    for (let i = 0; i < count; i++) {
      const face = this.#facesSeen++;
      let size = 0;
      let faceUvs: number[] = [];
      for (const property of properties) {
        if (property === corners) size = this.#readCorners(face, property);
        else if (property === uvs) {
          const length = this.#listLength(property);
          faceUvs = Array.from({ length }, () => this.#values.next(property.type));
        } else this.#skip(property);
      }
      if (uvs) {
        // A list of another length belongs to no corner.
        const fits = faceUvs.length === 2 * size;
        for (let k = 0; k < 2 * size; k++) {
          const value = fits ? faceUvs[k]! : Number.NaN;
          this.#cornerUvs.push(Number.isFinite(value) ? value : Number.NaN);
        }
      }
      checkElementCount(this.#cornerPoints.length, 'corners', this.#limits, CALLER);
    }
  }

  #readCorners(face: number, property: PlyProperty): number {
    const size = this.#listLength(property);
    if (size < 3) throw this.#error(`face ${face} has ${size} corners, expected at least 3`);
    this.#faceCounts.push(size);
    for (let k = 0; k < size; k++) {
      const point = this.#values.next(property.type);
      if (!Number.isInteger(point) || point < 0 || point > 0x7ffffffe) {
        throw this.#error(`face ${face} names point ${point}, expected an index from 0`);
      }
      this.#cornerPoints.push(point);
    }
    return size;
  }

  #listLength({ type, countType }: PlyProperty): number {
    const length = this.#values.next(countType!);
    const most = Math.floor(this.#values.remaining() / this.#values.leastSize(type));
    if (!Number.isInteger(length) || length < 0 || length > most) {
      throw this.#error(`a list claims ${length} values, expected 0 to ${most}, what is left of the data`);
    }
    return length;
  }

  #skip(property: PlyProperty): void {
    const length = property.countType ? this.#listLength(property) : 1;
    for (let k = 0; k < length; k++) this.#values.next(property.type);
  }

  finish(): PlyDocument {
    const pointCount = this.#points.length / 3;
    if (this.#facesSeen === 0) {
      throw new InvalidMeshError(
        'MESH_EMPTY',
        `${CALLER}: the file has no faces, got ${pointCount} points alone, expected an element face`,
        { pointCount },
      );
    }
    const faceVertexIndices = this.#cornerPoints.toArray();
    const wrong = faceVertexIndices.findIndex((point) => point >= pointCount);
    if (wrong >= 0) {
      throw new FormatError(
        'FORMAT_INVALID',
        `${CALLER}: a face names point ${faceVertexIndices[wrong]}, expected an index from 0 to ${pointCount - 1}`,
        { corner: wrong },
      );
    }
    const mesh = {
      points: this.#points.toArray(),
      faceVertexCounts: this.#faceCounts.toArray(),
      faceVertexIndices,
    };
    const cornerUvs = this.#finishUvs(faceVertexIndices);
    return { format: 'ply', mesh, faceGroups: [], ...(cornerUvs && { cornerUvs }), warnings: [] };
  }

  #finishUvs(cornerPoints: Int32Array): Float64Array | undefined {
    if (this.#hasCornerUvs) return this.#cornerUvs.toArray();
    if (this.#vertexUvs.length === 0) return undefined;
    return spreadUvs({ values: this.#vertexUvs.toArray(), cornerIndices: cornerPoints });
  }

  #error(problem: string): FormatError {
    return new FormatError('FORMAT_INVALID', `${CALLER}: ${this.#values.place()}: ${problem}`);
  }
}
