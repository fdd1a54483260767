import { BridgeError } from './error-codes.js';

/** How messages are told apart: by a header with their length, or by line breaks. */
export type Framing = 'header' | 'lines';

export interface FrameEvents {
  /** The bytes of one message, without its frame. */
  readonly onMessage: (body: Uint8Array) => void;
  /** A frame that cannot be used; reading goes on after it. */
  readonly onFault: (error: BridgeError) => void;
}

/** A header longer than this is none. */
const MAX_HEADER_BYTES = 4096;
const LINE_FEED = 10;
const CARRIAGE_RETURN = 13;

/**
 * Cuts a stream of bytes into messages. The first byte of the stream chooses the framing: a letter starts a
 * header (`Content-Length: N`, CR LF, CR LF, then N bytes), anything else starts a line of JSON.
 *
 * A message larger than the limit is skipped without being held. After a broken header reading goes on at the
 * next `Content-Length`; one run of garbage is one fault.
 */
export class FrameReader {
  readonly #events: FrameEvents;
  readonly #maxBytes: number;
  #framing: Framing | undefined;
  #parts: Uint8Array[] = [];
  #size = 0;
  /** Bytes of the message that is being read, or undefined while a header or a line is. */
  #expected: number | undefined;
  /** Bytes of a too large message still to be passed over; Infinity up to the end of the line. */
  #skipped = 0;
  #isLost = false;

  constructor(maxBytes: number, events: FrameEvents) {
    this.#maxBytes = maxBytes;
    this.#events = events;
  }

  /** What the first byte chose; lines until there was one. */
  get framing(): Framing {
    return this.#framing ?? 'lines';
  }

  push(chunk: Uint8Array): void {
    if (chunk.length === 0) return;
    this.#framing ??= /[A-Za-z]/.test(String.fromCharCode(chunk[0]!)) ? 'header' : 'lines';
    if (this.#framing === 'lines') this.#pushLines(chunk);
    else this.#pushHeaders(chunk);
  }

  /** Tells a message that was cut off by the end of the stream. */
  end(): void {
    const isInside = this.#skipped > 0 || this.#expected !== undefined || this.#size > 0;
    if (!isInside || this.#isBlank()) return;
    if (this.#framing === 'lines' && this.#skipped === 0) {
      this.#events.onMessage(this.#take());
      return;
    }
    this.#fault('unreadable', 'the input ended inside a message');
  }

  #pushLines(chunk: Uint8Array): void {
    let start = 0;
    for (let end = chunk.indexOf(LINE_FEED); end >= 0; end = chunk.indexOf(LINE_FEED, start)) {
      this.#addToLine(chunk.subarray(start, end));
      if (this.#skipped === 0 && !this.#isBlank()) this.#events.onMessage(this.#take());
      this.#drop();
      this.#skipped = 0;
      start = end + 1;
    }
    this.#addToLine(chunk.subarray(start));
  }

  #addToLine(bytes: Uint8Array): void {
    if (this.#skipped > 0 || bytes.length === 0) return;
    this.#keep(bytes);
    if (this.#size <= this.#maxBytes) return;
    this.#drop();
    this.#skipped = Infinity;
    this.#faultTooLarge('more');
  }

  #pushHeaders(chunk: Uint8Array): void {
    let rest = chunk;
    while (rest.length > 0) {
      if (this.#skipped > 0) {
        const count = Math.min(this.#skipped, rest.length);
        this.#skipped -= count;
        rest = rest.subarray(count);
      } else if (this.#expected !== undefined) {
        const count = Math.min(this.#expected - this.#size, rest.length);
        this.#keep(rest.subarray(0, count));
        rest = rest.subarray(count);
        this.#finishBody();
      } else {
        this.#keep(rest);
        rest = this.#readHeader();
      }
    }
  }

  #finishBody(): void {
    if (this.#size !== this.#expected) return;
    this.#expected = undefined;
    this.#isLost = false;
    this.#events.onMessage(this.#take());
  }

  /** Reads a header from what is kept and returns what follows it; keeps on waiting when it is not whole. */
  #readHeader(): Uint8Array {
    const bytes = this.#take();
    const text = new TextDecoder('latin1').decode(bytes.subarray(0, MAX_HEADER_BYTES));
    const end = text.indexOf('\r\n\r\n');
    const start = text.search(/content-length[ \t]*:/i);
    if (end < 0) {
      if (start === 0 || (bytes.length < 64 && 'content-length:'.startsWith(text.toLowerCase()))) {
        if (bytes.length < MAX_HEADER_BYTES) {
          this.#keep(bytes);
          return bytes.subarray(bytes.length);
        }
      } else if (/^content-type[ \t]*:/i.test(text) && bytes.length < MAX_HEADER_BYTES) {
        this.#keep(bytes);
        return bytes.subarray(bytes.length);
      }
      return this.#resume(bytes, text);
    }
    const fields = text.slice(0, end).split('\r\n');
    const lengths = fields.flatMap(
      (field) => /^content-length[ \t]*:[ \t]*(\d{1,15})[ \t]*$/i.exec(field)?.[1] ?? [],
    );
    const isKnown = fields.every((field) => /^content-(length|type)[ \t]*:/i.test(field));
    if (lengths.length !== 1 || !isKnown) {
      if (start !== 0) return this.#resume(bytes, text);
      this.#lose();
      return bytes.subarray(end + 4);
    }
    const length = Number(lengths[0]);
    if (length > this.#maxBytes) {
      this.#skipped = length;
      this.#faultTooLarge(`${length} bytes`);
    } else this.#expected = length;
    if (length === 0) this.#finishBody();
    return bytes.subarray(end + 4);
  }

  /** After garbage: goes on at the next header, and remembers only what may be the start of one. */
  #resume(bytes: Uint8Array, text: string): Uint8Array {
    this.#lose();
    const next = text.slice(1).search(/content-length[ \t]*:/i);
    if (next >= 0) return bytes.subarray(next + 1);
    if (bytes.length > MAX_HEADER_BYTES) return bytes.subarray(MAX_HEADER_BYTES - 16);
    const tail = /c[a-z-]*$/i.exec(text.slice(1));
    if (tail) this.#keep(bytes.subarray(bytes.length - tail[0].length));
    return bytes.subarray(bytes.length);
  }

  #lose(): void {
    if (!this.#isLost)
      this.#fault('unreadable', "the input has no header where one is due, expected 'Content-Length: N'");
    this.#isLost = true;
  }

  #isBlank(): boolean {
    return this.#parts.every((part) =>
      part.every((byte) => byte === 32 || byte === 9 || byte === CARRIAGE_RETURN),
    );
  }

  #keep(bytes: Uint8Array): void {
    this.#parts.push(bytes);
    this.#size += bytes.length;
  }

  #drop(): void {
    this.#parts = [];
    this.#size = 0;
  }

  #take(): Uint8Array {
    const parts = this.#parts;
    const size = this.#size;
    this.#drop();
    if (parts.length === 1) return parts[0]!;
    const bytes = new Uint8Array(size);
    let at = 0;
    for (const part of parts) {
      bytes.set(part, at);
      at += part.length;
    }
    return bytes;
  }

  #faultTooLarge(got: string): void {
    this.#events.onFault(
      new BridgeError(
        'limitReached',
        `the message is too large, got ${got}, expected at most ${this.#maxBytes} bytes`,
        { limit: 'maxMessageBytes', value: this.#maxBytes },
      ),
    );
  }

  #fault(name: 'unreadable', message: string): void {
    this.#events.onFault(new BridgeError(name, message));
  }
}

/** A message with its frame. */
export function frameMessage(framing: Framing, body: Uint8Array): Uint8Array {
  const before =
    framing === 'header' ? new TextEncoder().encode(`Content-Length: ${body.length}\r\n\r\n`) : undefined;
  const framed = new Uint8Array(body.length + (before?.length ?? 1));
  framed.set(before ?? body, 0);
  if (before) framed.set(body, before.length);
  else framed[body.length] = LINE_FEED;
  return framed;
}
