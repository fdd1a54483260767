import { crc32, inflateSync } from 'node:zlib';
import { expect } from 'vitest';

export interface Picture {
  readonly width: number;
  readonly height: number;
  /** Red, green and blue; undefined where the picture is clear. */
  readonly at: (x: number, y: number) => readonly [number, number, number] | undefined;
}

/** Reads a PNG as the W3C's PNG specification says, with Node's own inflate and CRC-32. */
export function readPng(file: Uint8Array): Picture {
  expect([...file.subarray(0, 8)]).toEqual([137, 80, 78, 71, 13, 10, 26, 10]);
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  const chunks = new Map<string, Uint8Array>();
  let last = '';
  for (let i = 8; i < file.length; ) {
    const length = view.getUint32(i);
    last = String.fromCharCode(...file.subarray(i + 4, i + 8));
    expect(view.getUint32(i + 8 + length)).toBe(crc32(file.subarray(i + 4, i + 8 + length)));
    chunks.set(
      last,
      Buffer.concat([chunks.get(last) ?? new Uint8Array(0), file.subarray(i + 8, i + 8 + length)]),
    );
    i += 12 + length;
  }
  expect(last).toBe('IEND');
  const header = Buffer.from(chunks.get('IHDR')!);
  const width = header.readUInt32BE(0);
  const height = header.readUInt32BE(4);
  const isIndexed = header[9] === 3;
  expect(header[8]).toBe(8);
  if (!isIndexed) expect(header[9]).toBe(2);
  const rows = inflateSync(chunks.get('IDAT')!);
  const stride = isIndexed ? width : 3 * width;
  const pixels = new Uint8Array(stride * height);
  for (let y = 0; y < height; y++) {
    const filter = rows[y * (stride + 1)]!;
    expect([0, 2]).toContain(filter);
    for (let x = 0; x < stride; x++)
      pixels[y * stride + x] =
        rows[y * (stride + 1) + 1 + x]! + (filter === 2 && y > 0 ? pixels[(y - 1) * stride + x]! : 0);
  }
  const palette = chunks.get('PLTE');
  const alphas = chunks.get('tRNS');
  const colourOf = (bytes: Uint8Array, k: number) => [bytes[k]!, bytes[k + 1]!, bytes[k + 2]!] as const;
  return {
    width,
    height,
    at(x, y) {
      if (!isIndexed) return colourOf(pixels, 3 * (y * width + x));
      const index = pixels[y * width + x]!;
      return alphas?.[index] === 0 ? undefined : colourOf(palette!, 3 * index);
    },
  };
}
