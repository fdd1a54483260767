import { describe, expect, test } from 'vitest';
import type { MeshDocument, WrittenFormat } from '../../src/io/index.js';
import {
  createExchange,
  createGlb,
  createObj,
  createUsda,
  detectFormat,
  readMesh,
  writeExchange,
  writeObjBytes,
  writeUsdaBytes,
  writeWithUvs,
} from '../../src/io/index.js';
import { buildMesh, cutMesh } from '../../src/mesh/index.js';
import { CUBE, cutUvs, errorOf } from './shapes.js';

const text = (value: string) => new TextEncoder().encode(value);

describe('detectFormat', () => {
  test.each([
    ['v 0 0 0\n', 'a.obj', 'obj'],
    ['# made by hand\n', '', 'obj'],
    ['\ufeffmtllib a.mtl\n', '', 'obj'],
    ['ply\nformat', 'a.obj', 'ply'],
    ['#usda 1.0\n', 'a.usd', 'usda'],
    ['glTF\x02', 'a.json', 'glb'],
    ['{"asset": {"version": "2.0"}}', '', 'gltf'],
    ['{"meshes": []}', 'a.GLTF', 'gltf'],
    ['{"points": []}', '', 'json'],
    ['{"customData": {"asset": 1}}', '', 'json'],
    ['{"asset": {}}', 'a.json', 'json'],
    ['cstype bezier\n', 'A.OBJ', 'obj'],
  ])('%j named %j is %s', (content, name, format) => {
    expect(detectFormat(text(content), name)).toBe(format);
  });

  test('does not look names up in prototypes', async () => {
    expect((await errorOf(() => detectFormat(text('x'), 'a.constructor'))).code).toBe('FORMAT_UNKNOWN');
  });
});

describe('writeWithUvs', () => {
  const { cornerUvs } = cutUvs(CUBE, (edge) => edge % 2 === 0);
  const groups = [{ name: 'top', kind: 'material' as const, faces: Int32Array.of(1) }];
  const sources: [string, () => Promise<Uint8Array> | Uint8Array][] = [
    ['obj', () => writeObjBytes(createObj(CUBE, groups), cornerUvs)],
    ['usda', () => writeUsdaBytes(createUsda(CUBE, { faceGroups: groups }), cornerUvs)],
    ['json', () => text(writeExchange(createExchange(CUBE, groups), cornerUvs))],
    ['glb', () => createGlb(CUBE, cornerUvs, { faceGroups: groups })],
  ];
  const targets: (WrittenFormat | undefined)[] = [undefined, 'obj', 'glb', 'usda', 'json'];

  test.each(sources)(
    'takes a mesh, its UVs and its materials from %s to every format',
    async (_, makeSource) => {
      const document = await readMesh(await makeSource());
      expect(document.cornerUvs).toBeDefined();
      for (const format of targets) {
        const written = await writeWithUvs(document, document.cornerUvs!, { format });
        const back = await readMesh(written.bytes, { name: `a${written.extension}` });
        expect(back.format).toBe(written.format);
        const isCut = written.format === 'glb' && document.format !== 'glb';
        expect(back.mesh.faceVertexCounts.length, written.format).toBe(
          isCut ? 12 : document.mesh.faceVertexCounts.length,
        );
        expect(back.faceGroups.some(({ kind, name }) => kind === 'material' && name === 'top')).toBe(true);
        expect(sortedUvs(back)).toEqual(sortedUvs(document));
      }
    },
  );

  test('writes seams and charts that read back', async () => {
    const document = await readMesh(writeObjBytes(createObj(CUBE), cornerUvs));
    const mesh = buildMesh(document.mesh);
    const { faceCharts, chartCount } = cutMesh(mesh, new Uint8Array(mesh.edgeCount).fill(1));
    const charts = Array.from({ length: chartCount }, (_, i) => ({
      faces: [...faceCharts.keys()].filter((f) => faceCharts[f] === i),
      part: 'hand',
    }));
    const seams = [
      {
        role: 'opening',
        part: 'hand',
        side: 'left',
        edges: [
          [0, 1],
          [1, 2],
        ] as [number, number][],
        length: 2.5,
        exposure: 0.1,
        reason: 'along the "inner" side',
      },
    ];
    for (const format of ['usda', 'json'] as const) {
      const back = await readMesh((await writeWithUvs(document, cornerUvs, { format, seams, charts })).bytes);
      expect(back.seams, format).toEqual(seams);
      expect(back.faceGroups.some(({ name }) => name.startsWith('chart'))).toBe(false);
    }
  });
});

/** The different UVs of a document, sorted, to what GLB's single precision keeps. */
function sortedUvs(document: MeshDocument): string[] {
  const uvs = new Set<string>();
  document.cornerUvs!.forEach((value, i) => {
    if (i % 2 === 1) uvs.add(`${document.cornerUvs![i - 1]!.toFixed(5)} ${value.toFixed(5)}`);
  });
  return [...uvs].sort();
}
