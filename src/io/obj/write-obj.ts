import { checkCornerUvs, indexUvs } from '../corner-uvs.js';
import { formatDecimal, resolveDecimals } from '../format-decimal.js';
import { ByteSink } from '../growable.js';
import { CR, SLASH } from '../scan-bytes.js';
import type { ObjDocument } from './read-obj.js';
import {
  isLineEnd,
  isStatementEnd,
  isWord,
  nextStatement,
  skipBlanks,
  textStart,
  tokenEnd,
} from './statements.js';

export interface WriteObjOptions {
  /**
   * Decimals of the texture coordinates. Range 1..15.
   * @defaultValue 9
   */
  readonly decimals?: number;
}

export const WRITE_OBJ_DEFAULTS: Readonly<Required<WriteObjOptions>> = Object.freeze({ decimals: 9 });

/**
 * Writes an OBJ file with new texture coordinates and every other byte as it was: only `vt` statements and
 * the texture index of face corners change (and are removed from line and surface elements, whose old ones
 * would lead nowhere). Old texture coordinates are dropped; the new ones stand where the first of them, or
 * the first face, stood. Corners that share a point and a UV share an index.
 *
 * @param cornerUvs - 2 × cornerCount; a face with a NaN is written without texture coordinates
 * @throws UV_INVALID, OPTION_INVALID
 */
export function writeObj(
  document: ObjDocument,
  cornerUvs: ArrayLike<number>,
  options: WriteObjOptions = {},
): string {
  return new TextDecoder('utf-8', { ignoreBOM: true }).decode(writeObjBytes(document, cornerUvs, options));
}

/** `writeObj` as bytes, for files whose text is not UTF-8. */
export function writeObjBytes(
  document: ObjDocument,
  cornerUvs: ArrayLike<number>,
  options: WriteObjOptions = {},
): Uint8Array {
  const decimals = resolveDecimals(options.decimals ?? WRITE_OBJ_DEFAULTS.decimals, 'writeObj');
  const { mesh, source } = document;
  checkCornerUvs(cornerUvs, mesh.faceVertexIndices.length, 'writeObj');
  const whole = dropPartFaces(cornerUvs, mesh.faceVertexCounts);
  const { values, cornerIndices } = indexUvs(whole, mesh.faceVertexIndices, decimals);

  const sink = new ByteSink(source.length + 24 * (values.length / 2));
  let copied = 0;
  let corner = 0;
  let isListed = false;
  const listUvs = (lineStart: number) => {
    if (isListed) return;
    isListed = true;
    sink.pushRange(source, copied, lineStart);
    copied = lineStart;
    const lineBreak = findLineBreak(source);
    for (let i = 0; i < values.length; i += 2) {
      sink.pushAscii(
        `vt ${formatDecimal(values[i]!, decimals)} ${formatDecimal(values[i + 1]!, decimals)}${lineBreak}`,
      );
    }
  };

  for (let lineStart = textStart(source); lineStart < source.length; ) {
    let i = skipBlanks(source, lineStart);
    let end = i;
    if (!isStatementEnd(source, i)) {
      end = tokenEnd(source, i);
      if (isWord(source, i, end, 'vt')) {
        listUvs(lineStart);
        const next = nextStatement(source, end);
        sink.pushRange(source, copied, lineStart);
        copied = lineStart = next;
        continue;
      }
      const isFace = isWord(source, i, end, 'f') || isWord(source, i, end, 'fo');
      if (isFace) listUvs(lineStart);
      if (isFace || isWord(source, i, end, 'l') || isWord(source, i, end, 'surf')) {
        for (i = skipBlanks(source, end); !isStatementEnd(source, i); i = skipBlanks(source, end)) {
          end = tokenEnd(source, i);
          const uvIndex = isFace ? cornerIndices[corner++]! : -1;
          let pointEnd = i;
          while (pointEnd < end && source[pointEnd] !== SLASH) pointEnd++;
          let normalStart = Math.min(pointEnd + 1, end);
          while (normalStart < end && source[normalStart] !== SLASH) normalStart++;
          sink.pushRange(source, copied, pointEnd);
          const hasNormal = normalStart + 1 < end;
          if (uvIndex >= 0) sink.pushAscii(`/${uvIndex + 1}`);
          else if (hasNormal) sink.pushAscii('/');
          copied = hasNormal ? normalStart : end;
        }
      }
    }
    lineStart = nextStatement(source, end);
  }
  sink.pushRange(source, copied, source.length);
  return sink.toBytes();
}

/** OBJ wants a texture index on all corners of a face or on none. */
function dropPartFaces(cornerUvs: ArrayLike<number>, faceVertexCounts: ArrayLike<number>): Float64Array {
  const whole = Float64Array.from(cornerUvs);
  for (let f = 0, first = 0; f < faceVertexCounts.length; f++) {
    const end = first + 2 * faceVertexCounts[f]!;
    if (whole.subarray(first, end).some(Number.isNaN)) whole.fill(Number.NaN, first, end);
    first = end;
  }
  return whole;
}

/** The file's own line break: that of its first line. */
function findLineBreak(source: Uint8Array): string {
  const i = source.findIndex(isLineEnd);
  if (i < 0 || source[i] !== CR) return '\n';
  return source[i + 1] === 10 ? '\r\n' : '\r';
}
