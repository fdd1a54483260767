import { FormatError } from '../../errors.js';
import { CR, LF, lineAt, parseDecimal, quoteBytes, SPACE, TAB } from '../scan-bytes.js';
import type { PlyEncoding, PlyType } from './ply-header.js';
import { PLY_TYPE_SIZES } from './ply-header.js';

/** Gives the values of a PLY body one after another. */
export interface PlyValues {
  /** @throws FORMAT_INVALID when the data ends early or the text is no number */
  next(type: PlyType): number;
  /** Bytes not read yet. */
  remaining(): number;
  /** Least number of bytes that a value of this type takes. */
  leastSize(type: PlyType): number;
  /** Where the reader stands, for messages. */
  place(): string;
}

export function openPlyValues(
  bytes: Uint8Array,
  start: number,
  encoding: PlyEncoding,
  caller: string,
): PlyValues {
  return encoding === 'ascii'
    ? new TextValues(bytes, start, caller)
    : new BinaryValues(bytes, start, encoding === 'binary_little_endian', caller);
}

const endsEarly = (caller: string, place: string): FormatError =>
  new FormatError('FORMAT_INVALID', `${caller}: ${place}: the data ends early, expected more values`, {});

class BinaryValues implements PlyValues {
  readonly #view: DataView;
  readonly #isLittle: boolean;
  readonly #caller: string;
  #offset: number;

  constructor(bytes: Uint8Array, start: number, isLittle: boolean, caller: string) {
    this.#view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    this.#isLittle = isLittle;
    this.#caller = caller;
    this.#offset = start;
  }

  next(type: PlyType): number {
    const offset = this.#offset;
    if (offset + PLY_TYPE_SIZES[type] > this.#view.byteLength) throw endsEarly(this.#caller, this.place());
    this.#offset += PLY_TYPE_SIZES[type];
    switch (type) {
      case 'float32':
        return this.#view.getFloat32(offset, this.#isLittle);
      case 'int32':
        return this.#view.getInt32(offset, this.#isLittle);
      case 'uint32':
        return this.#view.getUint32(offset, this.#isLittle);
      case 'uint8':
        return this.#view.getUint8(offset);
      case 'float64':
        return this.#view.getFloat64(offset, this.#isLittle);
      case 'int8':
        return this.#view.getInt8(offset);
      case 'int16':
        return this.#view.getInt16(offset, this.#isLittle);
      case 'uint16':
        return this.#view.getUint16(offset, this.#isLittle);
    }
  }

  remaining(): number {
    return this.#view.byteLength - this.#offset;
  }

  leastSize(type: PlyType): number {
    return PLY_TYPE_SIZES[type];
  }

  place(): string {
    return `byte ${this.#offset}`;
  }
}

class TextValues implements PlyValues {
  readonly #bytes: Uint8Array;
  readonly #caller: string;
  #offset: number;

  constructor(bytes: Uint8Array, start: number, caller: string) {
    this.#bytes = bytes;
    this.#offset = start;
    this.#caller = caller;
  }

  next(): number {
    const bytes = this.#bytes;
    let start = this.#offset;
    while (isBlank(bytes[start])) start++;
    let end = start;
    while (end < bytes.length && !isBlank(bytes[end])) end++;
    this.#offset = end;
    if (start === end) throw endsEarly(this.#caller, this.place());
    const value = parseDecimal(bytes, start, end);
    if (Number.isNaN(value)) {
      throw new FormatError(
        'FORMAT_INVALID',
        `${this.#caller}: ${this.place()}: bad value, got ${quoteBytes(bytes, start, end)}, expected a finite number`,
      );
    }
    return value;
  }

  remaining(): number {
    return this.#bytes.length - this.#offset;
  }

  leastSize(): number {
    // A digit; the last one needs no blank after it, and one more byte than that is harmless.
    return 1;
  }

  place(): string {
    return `line ${lineAt(this.#bytes, this.#offset)}`;
  }
}

const isBlank = (byte: number | undefined): boolean =>
  byte === SPACE || byte === LF || byte === CR || byte === TAB;
