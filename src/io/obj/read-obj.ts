import { FormatError, InvalidMeshError } from '../../errors.js';
import { formatError, spreadUvs } from '../corner-uvs.js';
import { GroupRuns } from '../group-runs.js';
import { GrowableFloats, GrowableInts } from '../growable.js';
import type { ReadLimits } from '../limits.js';
import { checkByteLength, checkElementCount, resolveLimits } from '../limits.js';
import { lineAt, parseDecimal, parseInteger, quoteBytes, SLASH, toBytes } from '../scan-bytes.js';
import type { IndexedUvs, SourceDocument } from '../source-document.js';
import {
  isStatementEnd,
  isWord,
  nextStatement,
  OBJ_KEYWORDS,
  skipBlanks,
  textStart,
  tokenEnd,
} from './statements.js';

/** A Wavefront OBJ file with every byte kept. */
export interface ObjDocument extends SourceDocument {
  readonly format: 'obj';
  /** The file as it was read. */
  readonly source: Uint8Array;
  /** The file's texture coordinates as it stores them; absent when no corner has one. */
  readonly uvs?: IndexedUvs;
}

const CALLER = 'readObj';

/**
 * Reads a Wavefront OBJ file: polygons, negative indices, continued lines, groups, objects, materials.
 * What is not read (smoothing groups, normals, comments, free-form geometry) is kept for `writeObj`.
 *
 * @param source - the text, or its UTF-8 or other ASCII-compatible bytes, which must not be changed later
 * @returns the faces in file order; texture indices that lead nowhere count as none, with a warning
 * @throws FORMAT_INVALID with the line, FORMAT_TOO_LARGE, OPTION_INVALID, MESH_EMPTY when there are points
 * but no faces
 *
 * Linear in the size of the file.
 */
export function readObj(source: string | Uint8Array, options: ReadLimits = {}): ObjDocument {
  const limits = resolveLimits(options, CALLER);
  checkByteLength(source.length, limits, CALLER);
  const bytes = toBytes(source);
  checkByteLength(bytes.length, limits, CALLER);
  return new ObjParser(bytes, limits).parse();
}

class ObjParser {
  readonly #bytes: Uint8Array;
  readonly #limits: Required<ReadLimits>;
  readonly #points = new GrowableFloats();
  readonly #uvs = new GrowableFloats();
  readonly #faceCounts = new GrowableInts();
  readonly #faceStarts = new GrowableInts();
  readonly #cornerPoints = new GrowableInts();
  readonly #cornerUvs = new GrowableInts();
  readonly #groups = new GroupRuns();
  readonly #unknown = new Map<string, number>();
  #otherElements = 0;
  #known = 0;

  constructor(bytes: Uint8Array, limits: Required<ReadLimits>) {
    this.#bytes = bytes;
    this.#limits = limits;
  }

  parse(): ObjDocument {
    const bytes = this.#bytes;
    const noise = bytes.indexOf(0);
    if (noise >= 0) {
      throw formatError(
        CALLER,
        lineAt(bytes, noise),
        'the file has a zero byte, got binary data or UTF-16, expected text',
      );
    }
    for (let i = textStart(bytes); i < bytes.length; i = nextStatement(bytes, i)) {
      i = skipBlanks(bytes, i);
      if (!isStatementEnd(bytes, i)) i = this.#readStatement(i);
    }
    return this.#finish();
  }

  /** Reads the statement whose keyword is at `start`; returns an offset inside it. */
  #readStatement(start: number): number {
    const bytes = this.#bytes;
    const end = tokenEnd(bytes, start);
    const length = end - start;
    const byte = bytes[start]!;
    if (length === 1 && byte === 118 /* v */) return this.#readPoint(start, end);
    if ((length === 1 && byte === 102) /* f */ || isWord(bytes, start, end, 'fo'))
      return this.#readFace(start, end);
    if (length === 2 && byte === 118 && bytes[start + 1] === 116 /* vt */) return this.#readUv(start, end);
    if (length === 1 && byte === 103 /* g */)
      this.#groups.set('group', this.#words(end), this.#faceCounts.length);
    else if (length === 1 && byte === 111 /* o */) this.#setName('object', end);
    else if (isWord(bytes, start, end, 'usemtl')) this.#setName('material', end);
    else if (length === 1 && (byte === 108 || byte === 112) /* l, p */) this.#otherElements++;
    else if (!(length === 2 && byte === 118 && bytes[start + 1] === 110) /* vn */)
      return this.#noteOther(start, end);
    this.#known++;
    return end;
  }

  #readPoint(start: number, end: number): number {
    const bytes = this.#bytes;
    let i = end;
    for (let k = 0; k < 3; k++) {
      const token = skipBlanks(bytes, i);
      i = this.#readNumber(token, start, 'coordinate', k, 3);
    }
    checkElementCount(this.#points.length / 3, 'points', this.#limits, CALLER);
    return i;
  }

  #readUv(start: number, end: number): number {
    const bytes = this.#bytes;
    const i = this.#readNumberTo(this.#uvs, skipBlanks(bytes, end), start, 'texture coordinate', 0, 1);
    const second = skipBlanks(bytes, i);
    if (!isStatementEnd(bytes, second))
      return this.#readNumberTo(this.#uvs, second, start, 'texture coordinate', 1, 2);
    this.#uvs.push(0);
    return i;
  }

  #readNumber(token: number, start: number, what: string, index: number, wanted: number): number {
    return this.#readNumberTo(this.#points, token, start, what, index, wanted);
  }

  #readNumberTo(
    target: GrowableFloats,
    token: number,
    start: number,
    what: string,
    index: number,
    wanted: number,
  ): number {
    const bytes = this.#bytes;
    if (isStatementEnd(bytes, token)) {
      throw this.#error(start, `too few numbers, got ${index} ${what}s, expected ${wanted}`);
    }
    const end = tokenEnd(bytes, token);
    const value = parseDecimal(bytes, token, end);
    if (Number.isNaN(value)) {
      throw this.#error(start, `bad ${what}, got ${quoteBytes(bytes, token, end)}, expected a finite number`);
    }
    target.push(value);
    return end;
  }

  #readFace(start: number, end: number): number {
    const bytes = this.#bytes;
    let i = end;
    let count = 0;
    for (;;) {
      const token = skipBlanks(bytes, i);
      if (isStatementEnd(bytes, token)) break;
      i = tokenEnd(bytes, token);
      this.#readCorner(token, i, start);
      count++;
    }
    if (count < 3) throw this.#error(start, `a face needs at least 3 corners, got ${count}`);
    this.#faceCounts.push(count);
    this.#faceStarts.push(start);
    checkElementCount(this.#cornerPoints.length, 'corners', this.#limits, CALLER);
    return i;
  }

  #readCorner(start: number, end: number, statement: number): void {
    const bytes = this.#bytes;
    let firstSlash = start;
    while (firstSlash < end && bytes[firstSlash] !== SLASH) firstSlash++;
    let secondSlash = Math.min(firstSlash + 1, end);
    while (secondSlash < end && bytes[secondSlash] !== SLASH) secondSlash++;
    const point = parseInteger(bytes, start, firstSlash);
    if (Number.isNaN(point)) {
      throw this.#error(
        statement,
        `bad corner, got ${quoteBytes(bytes, start, end)}, expected v, v/vt, v//vn or v/vt/vn`,
      );
    }
    const pointCount = this.#points.length / 3;
    const resolved = point < 0 ? pointCount + point : point - 1;
    if (resolved < 0 || resolved > 0x7ffffffe) throw this.#badPoint(statement, point, pointCount);
    this.#cornerPoints.push(resolved);
    if (firstSlash + 1 >= secondSlash) {
      this.#cornerUvs.push(-1);
    } else {
      const uv = parseInteger(bytes, firstSlash + 1, secondSlash);
      if (Number.isNaN(uv)) {
        throw this.#error(
          statement,
          `bad texture index, got ${quoteBytes(bytes, start, end)}, expected v/vt or v/vt/vn`,
        );
      }
      const resolvedUv = uv < 0 ? this.#uvs.length / 2 + uv : uv - 1;
      // -2 leads nowhere and is counted at the end; -1 is none.
      this.#cornerUvs.push(resolvedUv < 0 || resolvedUv > 0x7ffffffe ? -2 : resolvedUv);
    }
    if (secondSlash + 1 < end && Number.isNaN(parseInteger(bytes, secondSlash + 1, end))) {
      throw this.#error(
        statement,
        `bad normal index, got ${quoteBytes(bytes, start, end)}, expected v//vn or v/vt/vn`,
      );
    }
  }

  #setName(kind: 'object' | 'material', end: number): void {
    const words = this.#words(end);
    this.#groups.set(kind, words.length > 0 ? [words.join(' ')] : [], this.#faceCounts.length);
  }

  #words(i: number): string[] {
    const bytes = this.#bytes;
    const words: string[] = [];
    const decoder = new TextDecoder();
    for (;;) {
      const start = skipBlanks(bytes, i);
      if (isStatementEnd(bytes, start)) return words;
      i = tokenEnd(bytes, start);
      words.push(decoder.decode(bytes.subarray(start, i)));
    }
  }

  #noteOther(start: number, end: number): number {
    const bytes = this.#bytes;
    const keyword = new TextDecoder().decode(bytes.subarray(start, Math.min(end, start + 40)));
    if (OBJ_KEYWORDS.has(keyword)) this.#known++;
    else if (this.#unknown.size < 5 && !this.#unknown.has(keyword)) this.#unknown.set(keyword, start);
    return end;
  }

  #finish(): ObjDocument {
    const bytes = this.#bytes;
    const pointCount = this.#points.length / 3;
    const faceCount = this.#faceCounts.length;
    if (faceCount === 0) {
      if (pointCount === 0 && this.#known === 0) {
        throw new FormatError(
          'FORMAT_INVALID',
          `${CALLER}: no OBJ statement found, got ${bytes.length} bytes of something else, expected lines such as "v 0 0 0" and "f 1 2 3"`,
        );
      }
      throw new InvalidMeshError(
        'MESH_EMPTY',
        `${CALLER}: the file has no faces, got ${pointCount} points and ${this.#otherElements} lines or point elements, expected f statements`,
        { pointCount },
      );
    }
    const faceVertexIndices = this.#cornerPoints.toArray();
    const faceVertexCounts = this.#faceCounts.toArray();
    for (let f = 0, c = 0; f < faceCount; f++) {
      for (const end = c + faceVertexCounts[f]!; c < end; c++) {
        const point = faceVertexIndices[c]!;
        if (point >= pointCount) throw this.#badPoint(this.#faceStarts.at(f), point + 1, pointCount);
      }
    }
    const warnings = [...this.#unknown].map(
      ([keyword, offset]) =>
        `line ${lineAt(bytes, offset)}: ${quoteBytes(new TextEncoder().encode(keyword), 0, 40)} is no OBJ statement; such lines are kept and ignored`,
    );
    const document = {
      format: 'obj' as const,
      source: bytes,
      mesh: { points: this.#points.toArray(), faceVertexCounts, faceVertexIndices },
      faceGroups: this.#groups.finish(faceCount, this.#limits, CALLER),
      warnings,
    };
    const uvs = this.#finishUvs(warnings);
    return uvs ? { ...document, uvs, cornerUvs: spreadUvs(uvs) } : document;
  }

  #finishUvs(warnings: string[]): IndexedUvs | undefined {
    const uvCount = this.#uvs.length / 2;
    const cornerIndices = this.#cornerUvs.toArray();
    let used = 0;
    let astray = 0;
    for (let c = 0; c < cornerIndices.length; c++) {
      const i = cornerIndices[c]!;
      if (i >= 0 && i < uvCount) used++;
      else {
        if (i !== -1) astray++;
        cornerIndices[c] = -1;
      }
    }
    if (astray > 0)
      warnings.push(
        `${astray} corners name a texture coordinate that does not exist; they count as having none`,
      );
    return used > 0 ? { values: this.#uvs.toArray(), cornerIndices } : undefined;
  }

  #badPoint(offset: number, index: number, pointCount: number): FormatError {
    return this.#error(
      offset,
      `a face names a point that does not exist, got ${index}, expected 1 to ${pointCount}, or -${pointCount} to -1`,
    );
  }

  #error(offset: number, problem: string): FormatError {
    return formatError(CALLER, lineAt(this.#bytes, offset), problem);
  }
}
