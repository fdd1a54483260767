import { BACKSLASH, CR, HASH, LF, SPACE, TAB } from '../scan-bytes.js';

/** Keywords that Wavefront OBJ 3.0 defines; others are kept and reported. */
export const OBJ_KEYWORDS: ReadonlySet<string> = new Set(
  (
    'v vt vn vp f fo l p g o s mg usemtl mtllib usemap maplib cstype deg bmat step curv curv2 surf parm trim ' +
    'hole scrv sp end con bevel c_interp d_interp lod shadow_obj trace_obj ctech stech call csh bsp bzp cdc ' +
    'cdp res'
  ).split(' '),
);

/** Offset of the first byte of the text: after a UTF-8 byte order mark. */
export const textStart = (bytes: Uint8Array): number =>
  bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0;

export const isLineEnd = (byte: number): boolean => byte === LF || byte === CR;

/** Offset just after the line break at `i`, which must be one. */
export const afterLineEnd = (bytes: Uint8Array, i: number): number =>
  bytes[i] === CR && bytes[i + 1] === LF ? i + 2 : i + 1;

/**
 * Offset of the next token at or after `i` in the same statement, or of the line break or the end of the
 * bytes that ends the statement. A backslash before a line break continues the statement.
 */
export function skipBlanks(bytes: Uint8Array, i: number): number {
  for (;;) {
    const byte = bytes[i];
    if (byte === SPACE || byte === TAB) i++;
    else if (byte === BACKSLASH) {
      const end = continuationEnd(bytes, i);
      if (end < 0) return i;
      i = end;
    } else return i;
  }
}

/** End of the token that starts at `i`. */
export function tokenEnd(bytes: Uint8Array, i: number): number {
  while (i < bytes.length) {
    const byte = bytes[i]!;
    if (byte === SPACE || byte === TAB || byte === LF || byte === CR) break;
    if (byte === BACKSLASH && continuationEnd(bytes, i) >= 0) break;
    i++;
  }
  return i;
}

/** Offset after the line break that the backslash at `i` escapes, or -1 when it escapes none. */
function continuationEnd(bytes: Uint8Array, i: number): number {
  let j = i + 1;
  while (bytes[j] === SPACE || bytes[j] === TAB) j++;
  const byte = bytes[j];
  return byte === LF || byte === CR ? afterLineEnd(bytes, j) : -1;
}

/** Whether no more values follow at `i` in a statement of numbers: a line end, the end, or a comment. */
export const isStatementEnd = (bytes: Uint8Array, i: number): boolean => {
  const byte = bytes[i];
  return byte === undefined || byte === LF || byte === CR || byte === HASH;
};

/** Offset of the next statement after the one that goes on at `i`; comments are never continued. */
export function nextStatement(bytes: Uint8Array, i: number): number {
  while (i < bytes.length) {
    const byte = bytes[i]!;
    if (byte === LF || byte === CR) return afterLineEnd(bytes, i);
    if (byte === HASH) return afterComment(bytes, i);
    if (byte === BACKSLASH) {
      const end = continuationEnd(bytes, i);
      if (end >= 0) {
        i = end;
        continue;
      }
    }
    i++;
  }
  return i;
}

/** Comments may be huge, so their end is looked for by the engine. */
function afterComment(bytes: Uint8Array, i: number): number {
  const lineFeed = bytes.indexOf(LF, i);
  const end = lineFeed < 0 ? bytes.length : lineFeed;
  const carriageReturn = bytes.subarray(i, end).indexOf(CR);
  if (carriageReturn >= 0) return afterLineEnd(bytes, i + carriageReturn);
  return Math.min(end + 1, bytes.length);
}

/** Whether the token `bytes[start..end)` is the ASCII word. */
export function isWord(bytes: Uint8Array, start: number, end: number, word: string): boolean {
  if (end - start !== word.length) return false;
  for (let i = 0; i < word.length; i++) if (bytes[start + i] !== word.charCodeAt(i)) return false;
  return true;
}
