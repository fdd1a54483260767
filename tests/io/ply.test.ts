import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readPly } from '../../src/io/index.js';
import type { MeshInput } from '../../src/mesh/index.js';
import { anyShape, errorOf } from './shapes.js';

type Encoding = 'ascii' | 'binary_little_endian' | 'binary_big_endian';

/** A PLY writer of the test's own; extra elements and properties stand before, between and after. */
function writePly(input: MeshInput, encoding: Encoding, countType: string, indexType: string): Uint8Array {
  const vertexCount = input.points.length / 3;
  const header = `ply
format ${encoding} 1.0
comment made for a test
obj_info nothing
element camera 1
property list uchar float pose
property double far
element vertex ${vertexCount}
property uchar red
property double x
property double y
property float s
property float t
property double z
element face ${input.faceVertexCounts.length}
property short flag
property list ${countType} ${indexType} vertex_indices
end_header
`;
  const sink: number[] = Array.from(new TextEncoder().encode(header));
  const view = new DataView(new ArrayBuffer(8));
  const isLittle = encoding === 'binary_little_endian';
  const put = (type: string, value: number) => {
    if (encoding === 'ascii') {
      sink.push(...new TextEncoder().encode(`${value} `));
      return;
    }
    const sizes: Record<string, number> = {
      char: 1,
      uchar: 1,
      uint8: 1,
      short: 2,
      ushort: 2,
      int: 4,
      uint: 4,
      int32: 4,
      float: 4,
      double: 8,
    };
    if (type === 'double') view.setFloat64(0, value, isLittle);
    else if (type === 'float') view.setFloat32(0, value, isLittle);
    else if (sizes[type] === 4) view.setUint32(0, value, isLittle);
    else if (sizes[type] === 2) view.setUint16(0, value, isLittle);
    else view.setUint8(0, value);
    for (let i = 0; i < sizes[type]!; i++) sink.push(view.getUint8(i));
  };
  put('uchar', 2);
  put('float', 0.5);
  put('float', 1);
  put('double', 100);
  for (let p = 0; p < vertexCount; p++) {
    put('uchar', 255);
    put('double', input.points[3 * p]!);
    put('double', input.points[3 * p + 1]!);
    put('float', p / 1024);
    put('float', 0.25);
    put('double', input.points[3 * p + 2]!);
  }
  for (let f = 0, c = 0; f < input.faceVertexCounts.length; f++) {
    put('short', 7);
    put(countType, input.faceVertexCounts[f]!);
    for (const end = c + input.faceVertexCounts[f]!; c < end; c++)
      put(indexType, input.faceVertexIndices[c]!);
    if (encoding === 'ascii') sink.push(10);
  }
  return Uint8Array.from(sink);
}

describe('readPly', () => {
  test('law: text and both byte orders give the same mesh and UVs', () => {
    fc.assert(
      fc.property(
        anyShape(),
        fc.constantFrom<Encoding>('ascii', 'binary_little_endian', 'binary_big_endian'),
        fc.constantFrom('uchar', 'uint8', 'int', 'ushort'),
        fc.constantFrom('int', 'uint', 'int32', 'ushort'),
        (input, encoding, countType, indexType) => {
          const document = readPly(writePly(input, encoding, countType, indexType));
          expect(Array.from(document.mesh.points)).toEqual(Array.from(input.points));
          expect(Array.from(document.mesh.faceVertexCounts)).toEqual(Array.from(input.faceVertexCounts));
          expect(Array.from(document.mesh.faceVertexIndices)).toEqual(Array.from(input.faceVertexIndices));
          const uvs = Array.from(input.faceVertexIndices).flatMap((p) => [p / 1024, 0.25]);
          expect(Array.from(document.cornerUvs!)).toEqual(uvs);
        },
      ),
      { numRuns: 60 },
    );
  });

  test('reads UVs of corners from a face list', () => {
    const document = readPly(
      'ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nelement face 1\n' +
        'property list uchar int vertex_index\nproperty list uchar float texcoord\nend_header\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2 6 0 0 1 0 0 1\n',
    );
    expect(Array.from(document.cornerUvs!)).toEqual([0, 0, 1, 0, 0, 1]);
  });

  test('takes CRLF after the header of binary data', () => {
    const bytes = writePly(
      { points: [0, 0, 0, 1, 0, 0, 0, 1, 0], faceVertexCounts: [3], faceVertexIndices: [0, 1, 2] },
      'ascii',
      'uchar',
      'int',
    );
    const text = new TextDecoder().decode(bytes).replaceAll('\n', '\r\n');
    expect(readPly(text).mesh.faceVertexIndices).toEqual(Int32Array.of(0, 1, 2));
  });

  test('a claim far above the data is refused before anything is allocated', async () => {
    const head =
      'ply\nformat binary_little_endian 1.0\nelement vertex 100000000\nproperty float x\nproperty float y\nproperty float z\nend_header\n';
    expect(await errorOf(() => readPly(head))).toMatchObject({ code: 'FORMAT_INVALID' });
    expect((await errorOf(() => readPly(head.replace('100000000', '999999999999')))).code).toBe(
      'FORMAT_TOO_LARGE',
    );
  });
});
