import { FormatError } from '../errors.js';

/** ASCII codes that the readers look for. */
export const LF = 10;
export const CR = 13;
export const SPACE = 32;
export const TAB = 9;
export const HASH = 35;
export const SLASH = 47;
export const BACKSLASH = 92;

const MINUS = 45;
const PLUS = 43;
const DOT = 46;
const ZERO = 48;
const NINE = 57;

/** Powers of ten that a double holds exactly. */
const EXACT_POWERS = Float64Array.from({ length: 23 }, (_, i) => Number(`1e${i}`));

/** No number a program writes is longer. */
const LONGEST_NUMBER = 400;

/**
 * The decimal number spelled by `bytes[start..end)`, correctly rounded, or NaN when it is not a finite
 * decimal number. Spellings with at most 15 digits and a small exponent are exact by one multiplication or
 * division (Clinger 1990); the others go through the engine's own parser.
 */
export function parseDecimal(bytes: Uint8Array, start: number, end: number): number {
  let i = start;
  let isNegative = false;
  if (i < end && (bytes[i] === MINUS || bytes[i] === PLUS)) isNegative = bytes[i++] === MINUS;
  let mantissa = 0;
  let digits = 0;
  let exponent = 0;
  let digitSeen = false;
  let dotSeen = false;
  for (; i < end; i++) {
    const byte = bytes[i]!;
    if (byte >= ZERO && byte <= NINE) {
      digitSeen = true;
      if (mantissa > 0 || byte !== ZERO) digits++;
      if (digits > 15) return parseSlow(bytes, start, end);
      mantissa = 10 * mantissa + (byte - ZERO);
      if (dotSeen) exponent--;
    } else if (byte === DOT && !dotSeen) dotSeen = true;
    else break;
  }
  if (!digitSeen) return Number.NaN;
  if (i < end) {
    if ((bytes[i]! | 32) !== 101) return Number.NaN;
    const written = parseInteger(bytes, i + 1, end);
    if (Number.isNaN(written)) return Number.NaN;
    exponent += written;
  }
  if (exponent < -22 || exponent > 22) return parseSlow(bytes, start, end);
  const value = exponent < 0 ? mantissa / EXACT_POWERS[-exponent]! : mantissa * EXACT_POWERS[exponent]!;
  return isNegative ? -value : value;
}

/** Only reached with text that starts like a number; rejects what the engine takes and we do not. */
function parseSlow(bytes: Uint8Array, start: number, end: number): number {
  if (end - start > LONGEST_NUMBER) return Number.NaN;
  let text = '';
  for (let i = start; i < end; i++) text += String.fromCharCode(bytes[i]!);
  if (!/^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(text)) return Number.NaN;
  const value = Number(text);
  return Number.isFinite(value) ? value : Number.NaN;
}

/** The signed decimal integer spelled by `bytes[start..end)`, or NaN; magnitudes beyond 2^53 are NaN too. */
export function parseInteger(bytes: Uint8Array, start: number, end: number): number {
  let i = start;
  let isNegative = false;
  if (i < end && (bytes[i] === MINUS || bytes[i] === PLUS)) isNegative = bytes[i++] === MINUS;
  if (i === end) return Number.NaN;
  let value = 0;
  for (; i < end; i++) {
    const byte = bytes[i]!;
    if (byte < ZERO || byte > NINE) return Number.NaN;
    value = 10 * value + (byte - ZERO);
    if (value > Number.MAX_SAFE_INTEGER) return Number.NaN;
  }
  return isNegative ? -value : value;
}

/** Line number, counted from 1, of a byte offset. LF, CRLF and a lone CR each end a line. */
export function lineAt(bytes: Uint8Array, offset: number): number {
  let line = 1;
  for (let i = 0; i < offset && i < bytes.length; i++) {
    if (bytes[i] === LF || (bytes[i] === CR && bytes[i + 1] !== LF)) line++;
  }
  return line;
}

/** Text of `bytes[start..end)` fit for an error message: printable, at most 40 characters. */
export function quoteBytes(bytes: Uint8Array, start: number, end: number): string {
  return quoteText(new TextDecoder().decode(bytes.subarray(start, Math.min(end, start + 60))));
}

/** A foreign string fit for an error message: printable, at most 40 characters, in quotation marks. */
export function quoteText(text: string): string {
  const printable = text.slice(0, 60).replace(/[^\x20-\x7e]/g, '?');
  return printable.length > 40 ? `"${printable.slice(0, 40)}..."` : `"${printable}"`;
}

/** UTF-8 bytes of text; bytes are passed through. */
export const toBytes = (source: string | Uint8Array): Uint8Array =>
  typeof source === 'string' ? new TextEncoder().encode(source) : source;

/**
 * Text of UTF-8 bytes.
 *
 * @throws FORMAT_INVALID for bytes that are not UTF-8, FORMAT_TOO_LARGE for more than a string can hold
 */
export function decodeText(bytes: Uint8Array, caller: string): string {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch (cause) {
    // Engines hold 2^29 characters or a little less; they report it by different errors.
    if (bytes.length >= 2 ** 29 - 64) {
      throw new FormatError(
        'FORMAT_TOO_LARGE',
        `${caller}: the text is too large for one string, got ${bytes.length} bytes, expected less than 512 MiB`,
        { byteLength: bytes.length },
        { cause },
      );
    }
    throw new FormatError('FORMAT_INVALID', `${caller}: the bytes are not UTF-8 text`, {}, { cause });
  }
}
