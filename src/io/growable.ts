/** A Float64Array that grows as numbers are pushed. */
export class GrowableFloats {
  #values = new Float64Array(1024);
  #length = 0;

  get length(): number {
    return this.#length;
  }

  push(value: number): void {
    if (this.#length === this.#values.length) {
      const grown = new Float64Array(2 * this.#length);
      grown.set(this.#values);
      this.#values = grown;
    }
    this.#values[this.#length++] = value;
  }

  at(index: number): number {
    return this.#values[index]!;
  }

  /** A copy of what was pushed, trimmed to its length. */
  toArray(): Float64Array {
    return this.#values.slice(0, this.#length);
  }
}

/** An Int32Array that grows as integers are pushed. */
export class GrowableInts {
  #values = new Int32Array(1024);
  #length = 0;

  get length(): number {
    return this.#length;
  }

  push(value: number): void {
    if (this.#length === this.#values.length) {
      const grown = new Int32Array(2 * this.#length);
      grown.set(this.#values);
      this.#values = grown;
    }
    this.#values[this.#length++] = value;
  }

  at(index: number): number {
    return this.#values[index]!;
  }

  /** A copy of what was pushed, trimmed to its length. */
  toArray(): Int32Array {
    return this.#values.slice(0, this.#length);
  }
}

/** A byte buffer that grows as text and bytes are appended. */
export class ByteSink {
  #bytes: Uint8Array;
  #length = 0;

  constructor(capacity = 1024) {
    this.#bytes = new Uint8Array(Math.max(64, capacity));
  }

  get length(): number {
    return this.#length;
  }

  pushByte(byte: number): void {
    if (this.#length === this.#bytes.length) this.#reserve(1);
    this.#bytes[this.#length++] = byte;
  }

  /** Appends `bytes[start..end)`. */
  pushRange(bytes: Uint8Array, start: number, end: number): void {
    this.#reserve(end - start);
    this.#bytes.set(bytes.subarray(start, end), this.#length);
    this.#length += end - start;
  }

  /** Appends text of ASCII characters only. */
  pushAscii(text: string): void {
    this.#reserve(text.length);
    for (let i = 0; i < text.length; i++) this.#bytes[this.#length++] = text.charCodeAt(i);
  }

  toBytes(): Uint8Array {
    return this.#bytes.slice(0, this.#length);
  }

  #reserve(extra: number): void {
    if (this.#length + extra <= this.#bytes.length) return;
    const grown = new Uint8Array(Math.max(this.#length + extra, 2 * this.#bytes.length));
    grown.set(this.#bytes.subarray(0, this.#length));
    this.#bytes = grown;
  }
}
