import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { readMesh, readObj, writeObj, writeWithUvs } from '../../src/io/index.js';
import { buildMesh, cutMesh } from '../../src/mesh/index.js';
import { largestDifference } from './shapes.js';

const FOLDER = new URL('../../../shared/meshes/', import.meta.url);
const names = existsSync(FOLDER)
  ? readdirSync(FOLDER, { withFileTypes: true })
      .filter((entry) => entry.isDirectory())
      .map(({ name }) => name)
  : [];
if (names.length === 0) console.log('shared-meshes: no folder ../shared/meshes beside the project, skipped');

describe.skipIf(names.length === 0)('real models, where their folder exists', () => {
  test.each(names)('%s goes through every format unharmed', async (name) => {
    const source = readFileSync(new URL(`${name}/mesh.obj`, FOLDER));
    const document = readObj(source);
    const mesh = buildMesh(document.mesh);
    const cut = cutMesh(
      mesh,
      Uint8Array.from({ length: mesh.edgeCount }, (_, e) => Number(e % 7 === 0)),
    );
    const cornerUvs = new Float64Array(2 * mesh.cornerCount);
    cut.cornerCutVertices.forEach((vertex, corner) => {
      cornerUvs[2 * corner] = vertex / cut.cutVertexCount;
      cornerUvs[2 * corner + 1] = (vertex * 0.6180339887) % 1;
    });

    const written = writeObj(document, cornerUvs);
    const kept = (text: string) =>
      text
        .split('\n')
        .filter((line) => !line.startsWith('vt '))
        .map((line) =>
          line.startsWith('f ') ? line.replace(/\/\d*/, '').replace(/(\d+)\/\d+/g, '$1') : line,
        );
    expect(kept(written)).toEqual(kept(source.toString()));
    for (const format of ['obj', 'usda', 'json'] as const) {
      const { bytes } = await writeWithUvs(document, cornerUvs, { format });
      const back = await readMesh(bytes);
      expect(largestDifference(back.mesh.points, document.mesh.points)).toBe(0);
      expect(largestDifference(back.mesh.faceVertexIndices, document.mesh.faceVertexIndices)).toBe(0);
      expect(largestDifference(back.cornerUvs!, cornerUvs)).toBeLessThan(1e-9);
    }
    const glb = await readMesh((await writeWithUvs(document, cornerUvs, { format: 'glb' })).bytes);
    expect(glb.mesh.faceVertexCounts.length).toBe(mesh.cornerCount - 2 * mesh.faceCount);
  });
});
