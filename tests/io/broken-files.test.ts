import { describe, expect, test } from 'vitest';
import type { MeshFormat } from '../../src/io/index.js';
import { readMesh } from '../../src/io/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { io, puppetDocument } from './gltf-shapes.js';
import { errorOf } from './shapes.js';

const text = (value: string) => new TextEncoder().encode(value);
const json = (value: unknown) => text(JSON.stringify(value));

/** Bytes without a pattern, the same on every run. */
function noise(length: number): Uint8Array {
  let state = 1;
  return Uint8Array.from({ length }, () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state >>> 24;
  });
}

const TRIANGLE = 'v 0 0 0\nv 1 0 0\nv 0 1 0\n';
const PLY =
  'ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n';
const USDA =
  '#usda 1.0\ndef Mesh "A" {\nint[] faceVertexCounts = [3]\nint[] faceVertexIndices = [0, 1, 2]\npoint3f[] points = [(0, 0, 0), (1, 0, 0), (0, 1, 0)]\n}\n';
const MESH = { points: [0, 0, 0, 1, 0, 0, 0, 1, 0], faceVertexCounts: [3], faceVertexIndices: [0, 1, 2] };
const GLTF = {
  asset: { version: '2.0' },
  buffers: [{ byteLength: 36, uri: `data:;base64,${Buffer.alloc(36).toString('base64')}` }],
  bufferViews: [{ buffer: 0, byteLength: 36 }],
  accessors: [{ bufferView: 0, componentType: 5126, count: 3, type: 'VEC3' }],
  meshes: [{ primitives: [{ attributes: { POSITION: 0 } }] }],
};

const broken: [string, MeshFormat | undefined, Uint8Array, string][] = [
  ['nothing', undefined, text(''), 'FORMAT_UNKNOWN'],
  ['noise', undefined, noise(4000), 'FORMAT_UNKNOWN'],
  ['a picture', undefined, text('\x89PNG\r\n\x1a\n'), 'FORMAT_UNKNOWN'],
  ['binary OpenUSD', undefined, text('PXR-USDC\0\0\0\0'), 'FORMAT_UNKNOWN'],
  ['packed OpenUSD', undefined, text('PK\x03\x04\x0a\0'), 'FORMAT_UNKNOWN'],
  ['prose', undefined, text('Dear artist, the mesh is in the other file.'), 'FORMAT_UNKNOWN'],

  ['obj: nothing', 'obj', text(''), 'FORMAT_INVALID'],
  ['obj: noise', 'obj', noise(4000), 'FORMAT_INVALID'],
  [
    'obj: UTF-16',
    'obj',
    Uint8Array.from(Buffer.from(`\ufeff${TRIANGLE}f 1 2 3\n`, 'utf16le')),
    'FORMAT_INVALID',
  ],
  ['obj: points alone', 'obj', text(TRIANGLE), 'MESH_EMPTY'],
  ['obj: lines and points alone', 'obj', text(`${TRIANGLE}l 1 2 3\np 1\n`), 'MESH_EMPTY'],
  ['obj: cut off in a point', 'obj', text(`${TRIANGLE}f 1 2 3\nv 1 2`), 'FORMAT_INVALID'],
  ['obj: cut off in a face', 'obj', text(`${TRIANGLE}f 1 2`), 'FORMAT_INVALID'],
  ['obj: index zero', 'obj', text(`${TRIANGLE}f 0 1 2\n`), 'FORMAT_INVALID'],
  ['obj: index past the end', 'obj', text(`${TRIANGLE}f 1 2 4\n`), 'FORMAT_INVALID'],
  ['obj: index before the start', 'obj', text(`${TRIANGLE}f -1 -2 -4\n`), 'FORMAT_INVALID'],
  ['obj: huge index', 'obj', text(`${TRIANGLE}f 1 2 99999999999999999999\n`), 'FORMAT_INVALID'],
  ['obj: broken index', 'obj', text(`${TRIANGLE}f 1 2 3.5\n`), 'FORMAT_INVALID'],
  ['obj: texture index that is no number', 'obj', text(`${TRIANGLE}f 1/a 2 3\n`), 'FORMAT_INVALID'],
  ['obj: too many slashes', 'obj', text(`${TRIANGLE}f 1/1/1/1 2 3\n`), 'FORMAT_INVALID'],
  ['obj: NaN', 'obj', text('v 0 0 nan\n'), 'FORMAT_INVALID'],
  ['obj: infinite', 'obj', text('v 0 0 1e999\n'), 'FORMAT_INVALID'],
  ['obj: hexadecimal', 'obj', text('v 0 0 0x10\n'), 'FORMAT_INVALID'],
  ['obj: decimal comma', 'obj', text('v 0,5 0 0\n'), 'FORMAT_INVALID'],
  ['obj: a corner twice', 'obj', text(`${TRIANGLE}f 1 2 2\n`), 'MESH_REPEATED_CORNER'],
  ['obj: no area at all', 'obj', text('v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n'), 'MESH_NO_AREA'],
  ['obj: a number of a million digits', 'obj', text(`v ${'1'.repeat(1e6)} 0 0\n`), 'FORMAT_INVALID'],

  ['ply: nothing', 'ply', text(''), 'FORMAT_INVALID'],
  ['ply: noise', 'ply', noise(4000), 'FORMAT_INVALID'],
  [
    'ply: noise after the first word',
    'ply',
    Uint8Array.of(...text('ply\n'), ...noise(4000)),
    'FORMAT_INVALID',
  ],
  ['ply: header cut off', 'ply', text(PLY.slice(0, 40)), 'FORMAT_INVALID'],
  ['ply: header without a format', 'ply', text(PLY.replace('format ascii 1.0\n', '')), 'FORMAT_INVALID'],
  ['ply: unknown type', 'ply', text(PLY.replace('float x', 'half x')), 'FORMAT_INVALID'],
  [
    'ply: property before any element',
    'ply',
    text('ply\nformat ascii 1.0\nproperty float x\nend_header\n'),
    'FORMAT_INVALID',
  ],
  ['ply: negative count', 'ply', text(PLY.replace('vertex 3', 'vertex -3')), 'FORMAT_INVALID'],
  [
    'ply: count far above the data',
    'ply',
    text(PLY.replace('vertex 3', 'vertex 90000000')),
    'FORMAT_INVALID',
  ],
  [
    'ply: count above the limits',
    'ply',
    text(PLY.replace('vertex 3', 'vertex 900000000000')),
    'FORMAT_TOO_LARGE',
  ],
  ['ply: no z', 'ply', text(PLY.replace('property float z\n', '')), 'FORMAT_INVALID'],
  ['ply: data cut off', 'ply', text(`${PLY}0 0 0\n1 0 0\n0 1 0\n3 0 1\n`), 'FORMAT_INVALID'],
  ['ply: list longer than the data', 'ply', text(`${PLY}0 0 0\n1 0 0\n0 1 0\n200 0 1 2\n`), 'FORMAT_INVALID'],
  ['ply: index past the end', 'ply', text(`${PLY}0 0 0\n1 0 0\n0 1 0\n3 0 1 3\n`), 'FORMAT_INVALID'],
  ['ply: negative index', 'ply', text(`${PLY}0 0 0\n1 0 0\n0 1 0\n3 0 1 -1\n`), 'FORMAT_INVALID'],
  ['ply: NaN', 'ply', text(`${PLY}nan 0 0\n1 0 0\n0 1 0\n3 0 1 2\n`), 'FORMAT_INVALID'],
  [
    'ply: binary NaN',
    'ply',
    Uint8Array.of(
      ...text(PLY.replace('ascii', 'binary_big_endian')),
      0x7f,
      0xc0,
      0,
      0,
      ...new Uint8Array(60),
    ),
    'FORMAT_INVALID',
  ],
  [
    'ply: a million elements without properties',
    'ply',
    text(`ply\nformat ascii 1.0\n${'element x 999999999\n'.repeat(1000)}end_header\n`),
    'MESH_EMPTY',
  ],
  [
    'ply: points alone',
    'ply',
    text(`${PLY.replace(/element face[\s\S]*_indices\n/, '')}0 0 0\n1 0 0\n0 1 0\n`),
    'MESH_EMPTY',
  ],

  ['usda: nothing', 'usda', text(''), 'FORMAT_INVALID'],
  ['usda: noise', 'usda', noise(4000), 'FORMAT_INVALID'],
  [
    'usda: noise after the first line',
    'usda',
    Uint8Array.of(...text('#usda 1.0\n'), ...noise(4000)),
    'FORMAT_INVALID',
  ],
  ['usda: no mesh', 'usda', text('#usda 1.0\ndef Xform "A" {}\n'), 'MESH_EMPTY'],
  ['usda: string without an end', 'usda', text('#usda 1.0\ndef Mesh "A\n'), 'FORMAT_INVALID'],
  ['usda: bracket without an end', 'usda', text(USDA.slice(0, USDA.indexOf('0, 0)'))), 'FORMAT_INVALID'],
  ['usda: brackets crossed', 'usda', text(USDA.replace('(0, 0, 0)', '(0, 0, 0]')), 'FORMAT_INVALID'],
  ['usda: prim without an end', 'usda', text(USDA.slice(0, -3)), 'FORMAT_INVALID'],
  ['usda: brackets nested deep', 'usda', text(`#usda 1.0\n(${'['.repeat(1e6)}`), 'FORMAT_INVALID'],
  ['usda: prims nested deep', 'usda', text(`#usda 1.0\n${'def "a" {'.repeat(1e5)}`), 'FORMAT_INVALID'],
  ['usda: NaN', 'usda', text(USDA.replace('(0, 0, 0)', '(0, nan, 0)')), 'FORMAT_INVALID'],
  ['usda: infinite', 'usda', text(USDA.replace('(0, 0, 0)', '(0, -inf, 0)')), 'FORMAT_INVALID'],
  ['usda: half a point', 'usda', text(USDA.replace('(0, 0, 0)', '(0, 0)')), 'FORMAT_INVALID'],
  ['usda: counts that do not add up', 'usda', text(USDA.replace('[3]', '[4]')), 'FORMAT_INVALID'],
  ['usda: a face of two corners', 'usda', text(USDA.replace('[3]', '[2, 1]')), 'FORMAT_INVALID'],
  ['usda: huge index', 'usda', text(USDA.replace('1, 2]', '1, 99999999999]')), 'FORMAT_INVALID'],
  ['usda: index past the end', 'usda', text(USDA.replace('1, 2]', '1, 3]')), 'FORMAT_INVALID'],
  ['usda: points that are text', 'usda', text(USDA.replace('(0, 0, 0)', '"zero"')), 'FORMAT_INVALID'],

  [
    'usda: time samples without an array',
    'usda',
    text(USDA.replace('points = [', 'points.timeSamples = { 0: None } #[')),
    'FORMAT_INVALID',
  ],
  [
    'usda: unknown transform',
    'usda',
    text(USDA.replace('{', '{ float xformOp:bend = 3\nuniform token[] xformOpOrder = ["xformOp:bend"]\n')),
    'FORMAT_INVALID',
  ],
  ['usda: statement outside a prim', 'usda', text(`${USDA}int a = 3\n`), 'FORMAT_INVALID'],
  [
    'usda: subset index past the end',
    'usda',
    text(USDA.replace('\n}', '\ndef GeomSubset "s" { int[] indices = [1] }\n}')),
    'FORMAT_INVALID',
  ],
  ['json: nothing', 'json', text(''), 'FORMAT_INVALID'],
  ['json: noise', 'json', noise(4000), 'FORMAT_INVALID'],
  ['json: cut off', 'json', json(MESH).slice(0, 30), 'FORMAT_INVALID'],
  ['json: nested deep', 'json', text('['.repeat(1e6)), 'FORMAT_INVALID'],
  [
    'json: nested deep in a known field',
    'json',
    text(`{"customData":${'{"a":'.repeat(1e5)}1${'}'.repeat(1e5)}}`),
    'FORMAT_INVALID',
  ],
  ['json: null', 'json', text('null'), 'FORMAT_INVALID'],
  ['json: infinite number', 'json', text(JSON.stringify(MESH).replace('[0,', '[1e999,')), 'FORMAT_INVALID'],
  ['json: counts that do not add up', 'json', json({ ...MESH, faceVertexCounts: [4] }), 'MESH_ARRAY_LENGTH'],
  ['json: index past the end', 'json', json({ ...MESH, faceVertexIndices: [0, 1, 3] }), 'MESH_INDEX_RANGE'],
  ['json: no faces', 'json', json({ points: [], faceVertexCounts: [], faceVertexIndices: [] }), 'MESH_EMPTY'],

  ['gltf: nothing in it', 'gltf', json({}), 'FORMAT_INVALID'],
  ['gltf: version 1', 'gltf', json({ asset: { version: '1.0' } }), 'FORMAT_INVALID'],
  ['gltf: no mesh', 'gltf', json({ asset: { version: '2.0' } }), 'MESH_EMPTY'],
  ['gltf: a list that is none', 'gltf', json({ ...GLTF, meshes: {} }), 'FORMAT_INVALID'],
  ['gltf: a null in a list', 'gltf', json({ ...GLTF, accessors: [null] }), 'FORMAT_INVALID'],
  [
    'gltf: buffer longer than its data',
    'gltf',
    json({ ...GLTF, buffers: [{ ...GLTF.buffers[0], byteLength: 1e9 }] }),
    'FORMAT_INVALID',
  ],
  [
    'gltf: view outside its buffer',
    'gltf',
    json({ ...GLTF, bufferViews: [{ buffer: 0, byteOffset: 8, byteLength: 36 }] }),
    'FORMAT_INVALID',
  ],
  [
    'gltf: accessor outside its view',
    'gltf',
    json({ ...GLTF, accessors: [{ ...GLTF.accessors[0], count: 4 }] }),
    'FORMAT_INVALID',
  ],
  [
    'gltf: zeros without end',
    'gltf',
    json({ ...GLTF, accessors: [{ componentType: 5126, count: 2 ** 40, type: 'VEC3' }] }),
    'FORMAT_TOO_LARGE',
  ],
  [
    'gltf: many accessors of one view',
    'gltf',
    json({ ...GLTF, accessors: new Array(1000).fill({ componentType: 5126, count: 1e6, type: 'MAT4' }) }),
    'FORMAT_TOO_LARGE',
  ],
  [
    'gltf: unknown component type',
    'gltf',
    json({ ...GLTF, accessors: [{ ...GLTF.accessors[0], componentType: 1 }] }),
    'FORMAT_INVALID',
  ],
  [
    'gltf: attribute that leads nowhere',
    'gltf',
    json({ ...GLTF, meshes: [{ primitives: [{ attributes: { POSITION: 9 } }] }] }),
    'FORMAT_INVALID',
  ],
  [
    'gltf: positions of two numbers',
    'gltf',
    json({ ...GLTF, accessors: [{ ...GLTF.accessors[0], type: 'VEC2' }] }),
    'FORMAT_INVALID',
  ],
  ['gltf: all points one', 'gltf', json(GLTF), 'MESH_NO_AREA'],
  [
    'gltf: index past the end',
    'gltf',
    json({
      ...GLTF,
      accessors: [
        GLTF.accessors[0],
        { bufferView: 0, componentType: 5121, count: 3, type: 'SCALAR', byteOffset: 0 },
        {
          componentType: 5121,
          count: 3,
          type: 'SCALAR',
          sparse: { count: 1, indices: { bufferView: 0, componentType: 5121 }, values: { bufferView: 1 } },
        },
      ],
      bufferViews: [...GLTF.bufferViews, { buffer: 1, byteLength: 1 }],
      buffers: [...GLTF.buffers, { byteLength: 1, uri: 'data:;base64,/w==' }],
      meshes: [{ primitives: [{ attributes: { POSITION: 0 }, indices: 2 }] }],
    }),
    'FORMAT_INVALID',
  ],
  [
    'gltf: nodes in a circle',
    'gltf',
    json({ ...GLTF, nodes: [{ children: [1] }, { children: [0] }] }),
    'FORMAT_INVALID',
  ],
  [
    'gltf: a node of two parents',
    'gltf',
    json({ ...GLTF, nodes: [{ children: [2] }, { children: [2] }, {}] }),
    'FORMAT_INVALID',
  ],
  [
    'gltf: a chain of nodes, but no triangle shown',
    'gltf',
    json({
      ...GLTF,
      meshes: [],
      nodes: Array.from({ length: 5000 }, (_, i) => (i < 4999 ? { children: [i + 1] } : {})),
      scenes: [{ nodes: [0] }],
    }),
    'MESH_EMPTY',
  ],
  [
    'gltf: sparse indices that are floats',
    'gltf',
    json({
      ...GLTF,
      accessors: [
        {
          ...GLTF.accessors[0],
          sparse: { count: 1, indices: { bufferView: 0, componentType: 5126 }, values: { bufferView: 0 } },
        },
      ],
    }),
    'FORMAT_INVALID',
  ],
  [
    'gltf: more sparse values than values',
    'gltf',
    json({
      ...GLTF,
      accessors: [
        {
          ...GLTF.accessors[0],
          sparse: { count: 4, indices: { bufferView: 0, componentType: 5121 }, values: { bufferView: 0 } },
        },
      ],
    }),
    'FORMAT_INVALID',
  ],
  [
    'gltf: attributes of different lengths',
    'gltf',
    json({
      ...GLTF,
      accessors: [GLTF.accessors[0], { ...GLTF.accessors[0], count: 2 }],
      meshes: [{ primitives: [{ attributes: { POSITION: 0, NORMAL: 1 } }] }],
    }),
    'FORMAT_INVALID',
  ],
  [
    'gltf: stride shorter than an element',
    'gltf',
    json({ ...GLTF, bufferViews: [{ buffer: 0, byteLength: 36, byteStride: 8 }] }),
    'FORMAT_INVALID',
  ],
  [
    'gltf: too few inverse bind matrices',
    'gltf',
    json({
      ...GLTF,
      nodes: [{}],
      skins: [{ joints: [0, 0], inverseBindMatrices: 1 }],
      accessors: [GLTF.accessors[0], { componentType: 5126, count: 1, type: 'MAT4' }],
    }),
    'FORMAT_INVALID',
  ],
  [
    'gltf: unknown mode',
    'gltf',
    json({ ...GLTF, meshes: [{ primitives: [{ attributes: { POSITION: 0 }, mode: 9 }] }] }),
    'FORMAT_INVALID',
  ],
  ['gltf: scene that leads nowhere', 'gltf', json({ ...GLTF, scene: 0 }), 'FORMAT_INVALID'],
  ['gltf: a broken material', 'gltf', json({ ...GLTF, materials: [null] }), 'FORMAT_INVALID'],
  [
    'gltf: a texture that leads nowhere',
    'gltf',
    json({ ...GLTF, materials: [{ normalTexture: { index: 4 } }] }),
    'FORMAT_INVALID',
  ],
  ['gltf: skin without joints', 'gltf', json({ ...GLTF, skins: [{}] }), 'FORMAT_INVALID'],
  [
    'gltf: keys that touch prototypes',
    'gltf',
    text(JSON.stringify(GLTF).replace('{"asset"', '{"__proto__":{"polluted":1},"asset"')),
    'MESH_NO_AREA',
  ],

  ['glb: head alone', 'glb', text('glTF'), 'FORMAT_INVALID'],
  ['glb: noise', 'glb', noise(4000), 'FORMAT_INVALID'],
  [
    'glb: noise after the head',
    'glb',
    Uint8Array.of(...text('glTF'), 2, 0, 0, 0, 160, 15, 0, 0, ...noise(3988)),
    'FORMAT_INVALID',
  ],
];

describe('files that cannot be read end in a documented code', () => {
  test.each(broken)('%s', async (_, format, bytes, code) => {
    const error = await errorOf(async () => buildMesh((await readMesh(bytes, { format })).mesh));
    expect(error.code, error.message).toBe(code);
    // "function: problem, got X, expected Y": the message shows nothing that a terminal would obey.
    expect(error.message).toMatch(/^[a-zA-Z]+: /);
    expect([...error.message].every((character) => character >= ' ' && !/[\x7f-\x9f]/.test(character))).toBe(
      true,
    );
    expect(error.message.length).toBeLessThan(400);
    expect(({} as { polluted?: number }).polluted).toBeUndefined();
  });

  test('a GLB cut short anywhere', async () => {
    const glb = await io.writeBinary(puppetDocument());
    for (let length = 0; length < glb.length; length += 97) {
      const { code } = await errorOf(() => readMesh(glb.slice(0, length), { format: 'glb' }));
      expect(['FORMAT_INVALID'], `${length} bytes`).toContain(code);
    }
  });

  test('the limits are the caller’s', async () => {
    const bytes = text(`${TRIANGLE}f 1 2 3\nf 1 3 2\n`);
    expect((await errorOf(() => readMesh(bytes, { format: 'obj', maxBytes: 20 }))).code).toBe(
      'FORMAT_TOO_LARGE',
    );
    expect((await errorOf(() => readMesh(bytes, { format: 'obj', maxElements: 5 }))).code).toBe(
      'FORMAT_TOO_LARGE',
    );
    expect((await errorOf(() => readMesh(bytes, { format: 'obj', maxElements: 0 }))).code).toBe(
      'OPTION_INVALID',
    );
    expect((await errorOf(() => readMesh(json(MESH), { format: 'json', maxElements: 2 }))).code).toBe(
      'FORMAT_TOO_LARGE',
    );
  });
});

describe('strange files that can be read', () => {
  test('a comment of 50 MB on one line', async () => {
    const bytes = new Uint8Array(50e6).fill(97);
    bytes.set(text(`${TRIANGLE}f 1 2 3\n# `));
    expect((await readMesh(bytes, { format: 'obj' })).mesh.faceVertexCounts.length).toBe(1);
  });

  test('a face of 100,000 corners on one line', async () => {
    const count = 100_000;
    const lines: string[] = [];
    for (let i = 0; i < count; i++) lines.push(`v ${Math.cos(i / count)} ${Math.sin(i / count)} 0\n`);
    const bytes = text(`${lines.join('')}f ${Array.from({ length: count }, (_, i) => i + 1).join(' ')}`);
    expect(Array.from((await readMesh(bytes, { format: 'obj' })).mesh.faceVertexCounts)).toEqual([count]);
  });

  test('a group for every face, and many names in one statement', async () => {
    const groups = Array.from({ length: 20_000 }, (_, i) => `g part${i} all\nf 1 2 3\n`).join('');
    const document = await readMesh(text(TRIANGLE + groups), { format: 'obj' });
    expect(document.faceGroups).toHaveLength(20_001);
    const names = `g ${Array.from({ length: 50_000 }, (_, i) => `n${i}`).join(' ')}\n`;
    const hostile = text(TRIANGLE + names + 'f 1 2 3\n'.repeat(20_000));
    expect((await errorOf(() => readMesh(hostile, { format: 'obj' }))).code).toBe('FORMAT_TOO_LARGE');
  });
});
