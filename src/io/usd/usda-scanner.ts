import type { FormatError } from '../../errors.js';
import { formatError } from '../corner-uvs.js';
import { HASH, LF, lineAt, parseDecimal, quoteBytes } from '../scan-bytes.js';

const QUOTE = 34;
const APOSTROPHE = 39;
const AT = 64;
const BACKSLASH = 92;
const LESS = 60;
const GREATER = 62;

const OPENING = new Set([40, 91, 123]); // ( [ {
const CLOSING = new Map([
  [40, 41],
  [91, 93],
  [123, 125],
]);
/** No file nests deeper; a deeper one is hostile. */
const DEEPEST_NESTING = 100;

/** Walks over the bytes of a .usda file, token by token. */
export class UsdaScanner {
  readonly bytes: Uint8Array;
  offset = 0;
  readonly #caller: string;

  constructor(bytes: Uint8Array, caller: string) {
    this.bytes = bytes;
    this.#caller = caller;
  }

  /** Moves to the next byte that is neither blank nor comment; returns it, or undefined at the end. */
  peek(): number | undefined {
    const { bytes } = this;
    while (this.offset < bytes.length) {
      const byte = bytes[this.offset]!;
      if (byte === HASH) while (this.offset < bytes.length && bytes[this.offset] !== LF) this.offset++;
      else if (byte > 32) return byte;
      else this.offset++;
    }
    return undefined;
  }

  /** Skips the character when it comes next. */
  skipIf(character: string): boolean {
    if (this.peek() !== character.charCodeAt(0)) return false;
    this.offset++;
    return true;
  }

  /** A word: an identifier with its namespace, a type with its brackets, a keyword. Empty when none comes. */
  readWord(): string {
    this.peek();
    const start = this.offset;
    while (isWordByte(this.bytes[this.offset])) this.offset++;
    return decode(this.bytes, start, this.offset);
  }

  /** The content of a string, without resolving escapes. */
  readString(): string {
    const start = this.offset;
    this.skipToken();
    const quotes = this.bytes[start + 1] === this.bytes[start] && this.offset - start >= 6 ? 3 : 1;
    return decode(this.bytes, start + quotes, this.offset - quotes);
  }

  /** Skips one value: a word or number, a string, an asset, a path, or a bracketed group with all it holds. */
  skipValue(): void {
    const closings: number[] = [];
    do {
      const byte = this.peek();
      if (byte === undefined)
        throw this.error(this.offset, 'the file ends inside a value, expected its closing bracket');
      if (OPENING.has(byte)) {
        if (closings.push(CLOSING.get(byte)!) > DEEPEST_NESTING) {
          throw this.error(
            this.offset,
            `the brackets nest too deep, expected at most ${DEEPEST_NESTING} levels`,
          );
        }
        this.offset++;
      } else if (byte === 41 || byte === 93 || byte === 125) {
        if (closings.pop() !== byte)
          throw this.error(this.offset, `a bracket does not match, got "${String.fromCharCode(byte)}"`);
        this.offset++;
      } else this.skipToken();
    } while (closings.length > 0);
  }

  /** Skips a string, an asset, a path, a word, a number or one other character. */
  skipToken(): void {
    const { bytes } = this;
    const byte = bytes[this.offset]!;
    if (byte === QUOTE || byte === APOSTROPHE || byte === AT) this.#skipQuoted(byte);
    else if (byte === LESS) this.#skipPath();
    else if (isWordByte(byte)) while (isWordByte(bytes[this.offset])) this.offset++;
    else this.offset++;
  }

  #skipQuoted(quote: number): void {
    const { bytes } = this;
    const isTriple = bytes[this.offset + 1] === quote && bytes[this.offset + 2] === quote;
    const start = this.offset;
    this.offset += isTriple ? 3 : 1;
    for (; this.offset < bytes.length; this.offset++) {
      const byte = bytes[this.offset];
      if (byte === BACKSLASH && quote !== AT) this.offset++;
      else if (
        byte === quote &&
        (!isTriple || (bytes[this.offset + 1] === quote && bytes[this.offset + 2] === quote))
      ) {
        this.offset += isTriple ? 3 : 1;
        return;
      } else if (byte === LF && !isTriple) break;
    }
    throw this.error(
      start,
      `a ${quote === AT ? 'asset path' : 'string'} does not end, expected its closing mark`,
    );
  }

  #skipPath(): void {
    const start = this.offset;
    while (this.offset < this.bytes.length && this.bytes[this.offset] !== LF) {
      if (this.bytes[this.offset++] === GREATER) return;
    }
    throw this.error(start, 'a path does not end, expected its closing ">"');
  }

  error(offset: number, problem: string): FormatError {
    return formatError(this.#caller, lineAt(this.bytes, offset), problem);
  }
}

/** What names, types and numbers are made of, `!` of transform names and all beyond ASCII included. */
const isWordByte = (byte: number | undefined): boolean =>
  byte !== undefined &&
  ((byte >= 48 && byte <= 58) || // 0-9 :
    (byte >= 65 && byte <= 90) ||
    (byte >= 97 && byte <= 122) ||
    byte === 95 ||
    byte === 46 ||
    byte === 45 ||
    byte === 43 ||
    byte === 33 ||
    byte >= 128);

const decode = (bytes: Uint8Array, start: number, end: number): string =>
  new TextDecoder().decode(bytes.subarray(start, end));

/**
 * All numbers of a value such as `[(0, 0, 1), (1, 0, 1)]`, flat.
 *
 * @param target - takes the numbers one after another
 * @throws FORMAT_INVALID for anything that is not a finite number
 */
export function readNumbers(
  scanner: UsdaScanner,
  start: number,
  end: number,
  target: { push(value: number): void },
): void {
  const { bytes } = scanner;
  for (let i = start; i < end; ) {
    const byte = bytes[i]!;
    if (byte === HASH) {
      while (i < end && bytes[i] !== LF) i++;
    } else if (isWordByte(byte)) {
      let stop = i;
      while (stop < end && isWordByte(bytes[stop])) stop++;
      const value = parseDecimal(bytes, i, stop);
      if (Number.isNaN(value)) {
        throw scanner.error(i, `bad number, got ${quoteBytes(bytes, i, stop)}, expected a finite number`);
      }
      target.push(value);
      i = stop;
    } else if (byte <= 32 || byte === 44 || byte === 40 || byte === 41 || byte === 91 || byte === 93) i++;
    else
      throw scanner.error(
        i,
        `bad number list, got ${quoteBytes(bytes, i, i + 1)}, expected numbers in brackets`,
      );
  }
}
