import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Framing } from '../../src/bridge/index.js';
import { FrameReader, frameMessage } from '../../src/bridge/index.js';

const encode = (text: string) => new TextEncoder().encode(text);

/** What a reader makes of a stream that arrives in pieces of the given sizes. */
function readAll(stream: Uint8Array, sizes: readonly number[] = [], maxBytes = 1000) {
  const messages: string[] = [];
  const faults: number[] = [];
  const reader = new FrameReader(maxBytes, {
    onMessage: (body) => messages.push(new TextDecoder().decode(body)),
    onFault: (error) => faults.push(error.code),
  });
  let at = 0;
  for (let i = 0; at < stream.length; i++) {
    const size = sizes.length > 0 ? sizes[i % sizes.length]! : stream.length;
    reader.push(stream.subarray(at, at + size));
    at += size;
  }
  reader.end();
  return { messages, faults, framing: reader.framing };
}

const bodies = fc.array(
  fc.jsonValue().map((value) => JSON.stringify({ value })),
  { minLength: 1, maxLength: 6 },
);
const pieces = fc.array(fc.integer({ min: 1, max: 40 }), { minLength: 1, maxLength: 8 });

function join(parts: readonly Uint8Array[]): Uint8Array {
  return Uint8Array.from(parts.flatMap((part) => [...part]));
}

describe('framing', () => {
  it.each<Framing>(['header', 'lines'])(
    '%s: messages come out whole, however the stream is cut up',
    (framing) => {
      fc.assert(
        fc.property(bodies, pieces, (texts, sizes) => {
          const stream = join(texts.map((text) => frameMessage(framing, encode(text))));
          expect(readAll(stream, sizes, 1e6)).toEqual({ messages: texts, faults: [], framing });
        }),
      );
    },
  );

  it('counts bytes, not letters', () => {
    const { messages } = readAll(frameMessage('header', encode('"Ärmel 🎭"')));
    expect(messages).toEqual(['"Ärmel 🎭"']);
  });

  it('takes header names in any case, with a content type, and blank lines between lines', () => {
    const header = 'content-LENGTH:2\r\nContent-Type: application/json; charset=utf-8\r\n\r\n{}';
    expect(readAll(encode(`${header}Content-Type: a\r\nContent-Length: 2\r\n\r\n[]`)).messages).toEqual([
      '{}',
      '[]',
    ]);
    expect(readAll(encode('\r\n{}\r\n\n  \n[]\n')).messages).toEqual(['{}\r', '[]']);
  });

  it('passes over a message that is too large and goes on', () => {
    const large = 'x'.repeat(5000);
    for (const framing of ['header', 'lines'] as const) {
      const stream = join(
        ['{"a":1}', `"${large}"`, '{"b":2}'].map((text) => frameMessage(framing, encode(text))),
      );
      for (const sizes of [[], [7], [4096]])
        expect(readAll(stream, sizes)).toEqual({
          messages: ['{"a":1}', '{"b":2}'],
          faults: [-32003],
          framing,
        });
    }
  });

  it('goes on at the next header after garbage, with one fault for all of it', () => {
    const good = frameMessage('header', encode('{}'));
    for (const garbage of [
      'Content-Length: two\r\n\r\n',
      'Content-Length: -5\r\n\r\n',
      'Content-Lenght: 5\r\n\r\nhello',
      'Content-Length: 1\r\nContent-Length: 2\r\n\r\n',
      'X: 1\r\n\r\n'.repeat(50),
      'a'.repeat(20_000),
    ]) {
      for (const sizes of [[], [1], [13]]) {
        const { messages, faults } = readAll(join([encode(garbage), good, good]), sizes);
        expect([garbage.slice(0, 30), messages, faults]).toEqual([
          garbage.slice(0, 30),
          ['{}', '{}'],
          [-32700],
        ]);
      }
    }
  });

  it('tells a message that the end cuts off, and takes a last line without its break', () => {
    expect(readAll(encode('Content-Length: 10\r\n\r\n{}')).faults).toEqual([-32700]);
    expect(readAll(encode('Content-Len')).faults).toEqual([-32700]);
    expect(readAll(encode('{}\n[]'))).toMatchObject({ messages: ['{}', '[]'], faults: [] });
  });

  it('never throws and never hangs, whatever the bytes', () => {
    fc.assert(
      fc.property(
        fc.uint8Array({ maxLength: 300 }),
        fc.constantFrom('', 'C', 'Content-Length: 3\r\n\r\n'),
        pieces,
        (bytes, start, sizes) => {
          readAll(join([encode(start), bytes]), sizes, 50);
        },
      ),
    );
  });
});
