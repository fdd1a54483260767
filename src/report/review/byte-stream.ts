/** Grows a list of bytes; whole numbers take one byte for each 7 bits. */
export class ByteWriter {
  #bytes = new Uint8Array(1 << 16);
  #length = 0;

  writeByte(value: number): void {
    if (this.#length === this.#bytes.length) {
      const grown = new Uint8Array(2 * this.#bytes.length);
      grown.set(this.#bytes);
      this.#bytes = grown;
    }
    this.#bytes[this.#length++] = value;
  }

  writeBytes(values: ArrayLike<number>): void {
    for (let i = 0; i < values.length; i++) this.writeByte(values[i]!);
  }

  writeUnsigned(value: number): void {
    let rest = value;
    while (rest >= 128) {
      this.writeByte((rest % 128) + 128);
      rest = Math.floor(rest / 128);
    }
    this.writeByte(rest);
  }

  /** Small numbers of either sign are short. */
  writeSigned(value: number): void {
    this.writeUnsigned(value >= 0 ? 2 * value : -2 * value - 1);
  }

  finish(): Uint8Array {
    return this.#bytes.slice(0, this.#length);
  }
}

/** Reads what `ByteWriter` wrote, in the same order. */
export class ByteReader {
  readonly #bytes: Uint8Array;
  #at = 0;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  readByte(): number {
    return this.#bytes[this.#at++]!;
  }

  readBytes(count: number): Uint8Array {
    this.#at += count;
    return this.#bytes.subarray(this.#at - count, this.#at);
  }

  readUnsigned(): number {
    let value = 0;
    for (let factor = 1; ; factor *= 128) {
      const byte = this.#bytes[this.#at++]!;
      if (byte < 128) return value + byte * factor;
      value += (byte - 128) * factor;
    }
  }

  readSigned(): number {
    const value = this.readUnsigned();
    return value % 2 === 0 ? value / 2 : -(value + 1) / 2;
  }
}
