import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { afterAll, describe, expect, test, vi } from 'vitest';
import { createExchange } from '../../../src/io/index.js';
import { readMeshFile, writeFilesAtomically } from '../../../src/io/node/index.js';
import { io, puppetDocument } from '../gltf-shapes.js';
import { CUBE, errorOf } from '../shapes.js';

const folder = mkdtempSync(join(tmpdir(), 'seamwright-io-'));
afterAll(() => rmSync(folder, { recursive: true }));
const at = (name: string) => join(folder, name);

describe('readMeshFile', () => {
  test('knows a format by content and by ending', async () => {
    writeFileSync(at('cube.json'), JSON.stringify(createExchange(CUBE)));
    writeFileSync(at('triangle.obj'), 'v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n');
    writeFileSync(at('misnamed.obj'), await io.writeBinary(puppetDocument()));
    expect((await readMeshFile(at('cube.json'))).format).toBe('json');
    expect((await readMeshFile(at('triangle.obj'))).format).toBe('obj');
    expect((await readMeshFile(at('misnamed.obj'))).format).toBe('glb');
  });

  test('reads the files that a .gltf names, from its own folder only', async () => {
    const { json, resources } = await io.writeJSON(puppetDocument(), { basename: 'puppet' });
    mkdirSync(at('scene'));
    for (const [name, bytes] of Object.entries(resources)) writeFileSync(join(at('scene'), name), bytes);
    writeFileSync(join(at('scene'), 'puppet.gltf'), JSON.stringify(json));
    expect((await readMeshFile(join(at('scene'), 'puppet.gltf'))).format).toBe('gltf');
    writeFileSync(at('secret.bin'), 'secret');
    for (const uri of [
      '../secret.bin',
      '..%2fsecret.bin',
      at('secret.bin'),
      'a/../../secret.bin',
      '.',
      'secret%00.bin',
    ]) {
      const text = JSON.stringify({ asset: { version: '2.0' }, buffers: [{ uri, byteLength: 6 }] });
      writeFileSync(join(at('scene'), 'hostile.gltf'), text);
      const error = await errorOf(() => readMeshFile(join(at('scene'), 'hostile.gltf')));
      expect(error.code, uri).toBe('FILE_UNREADABLE');
    }
    writeFileSync(
      join(at('scene'), 'odd.gltf'),
      JSON.stringify({ asset: { version: '2.0' }, buffers: [{ uri: '%E0%A4%A', byteLength: 6 }] }),
    );
    expect((await errorOf(() => readMeshFile(join(at('scene'), 'odd.gltf')))).code).toBe('FORMAT_INVALID');
  });

  test('says why a file cannot be read', async () => {
    const missing = await errorOf(() => readMeshFile(at('missing.obj')));
    expect(missing).toMatchObject({
      code: 'FILE_UNREADABLE',
      details: { path: at('missing.obj'), reason: 'ENOENT' },
    });
    expect((await errorOf(() => readMeshFile(folder))).code).toBe('FILE_UNREADABLE');
    expect((await errorOf(() => readMeshFile(at('cube.json'), { maxBytes: 10 }))).code).toBe(
      'FORMAT_TOO_LARGE',
    );
  });
});

describe('writeFilesAtomically', () => {
  test('writes text and bytes, and makes folders', async () => {
    const out = at('out/deep');
    await writeFilesAtomically([
      { path: join(out, 'a.obj'), content: 'v 0 0 0\n' },
      { path: join(out, 'b.glb'), content: Uint8Array.of(1, 2, 3) },
    ]);
    await writeFilesAtomically([{ path: join(out, 'a.obj'), content: 'v 1 1 1\n' }]);
    expect(readFileSync(join(out, 'a.obj'), 'utf8')).toBe('v 1 1 1\n');
    expect([...readFileSync(join(out, 'b.glb'))]).toEqual([1, 2, 3]);
    expect(readdirSync(out).sort()).toEqual(['a.obj', 'b.glb']);
  });

  test('leaves nothing of any file when one cannot be written', async () => {
    writeFileSync(at('blocker'), 'a file where a folder should be');
    writeFileSync(at('kept.obj'), 'old');
    const error = await errorOf(() =>
      writeFilesAtomically([
        { path: at('kept.obj'), content: 'new' },
        { path: at('fresh/deeper/a.obj'), content: 'new' },
        { path: at('blocker/b.obj'), content: 'new' },
      ]),
    );
    expect(error).toMatchObject({ code: 'FILE_UNWRITABLE', details: { path: at('blocker/b.obj') } });
    expect(readFileSync(at('kept.obj'), 'utf8')).toBe('old');
    expect(existsSync(at('fresh'))).toBe(false);
    expect(readdirSync(folder).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  });

  test('a target that is a folder leaves no temporary file', async () => {
    mkdirSync(at('taken'));
    expect((await errorOf(() => writeFilesAtomically([{ path: at('taken'), content: 'x' }]))).code).toBe(
      'FILE_UNWRITABLE',
    );
    expect(readdirSync(folder).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  });
});

test('standard input is read under the name -', async () => {
  const read = async (chunks: string[], options = {}) => {
    const stdin = vi
      .spyOn(process, 'stdin', 'get')
      .mockReturnValue(Readable.from(chunks.map((c) => Buffer.from(c))) as never);
    try {
      return await readMeshFile('-', options);
    } finally {
      stdin.mockRestore();
    }
  };
  const text = JSON.stringify(createExchange(CUBE));
  const document = await read([text.slice(0, 100), text.slice(100)]);
  expect([document.format, document.mesh.faceVertexCounts.length]).toEqual(['json', 6]);
  expect((await errorOf(() => read([]))).code).toBe('FORMAT_UNKNOWN');
  expect((await errorOf(() => read([text], { maxBytes: 50 }))).code).toBe('FORMAT_TOO_LARGE');
});
