import { describe, expect, test } from 'vitest';
import { readGltf, readUsda, writeGltf, writeUsda } from '../../src/io/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { io, listErrors, oddDocument, puppetDocument } from './gltf-shapes.js';
import { errorOf, largestDifference } from './shapes.js';

/** JSON of the puppet with its data inside, changed by `change`. */
async function brokenPuppet(
  change: (json: Record<string, never>) => void,
  source = puppetDocument(),
): Promise<string> {
  const { json, resources } = await io.writeJSON(source, { basename: 'a' });
  const file = structuredClone(json) as unknown as Record<string, never> & {
    buffers: { uri: string }[];
    images?: { uri: string }[];
  };
  for (const part of [...file.buffers, ...(file.images ?? [])]) {
    part.uri = `data:application/octet-stream;base64,${Buffer.from(resources[part.uri]!).toString('base64')}`;
  }
  change(file);
  return JSON.stringify(file);
}

/** What mutation fuzzing (bench/fuzz-readers.mjs) found, as small as it could be made. */
describe('found by fuzzing', () => {
  test('indices that are no unsigned numbers, of which -1 passed for a vertex', async () => {
    const text = await brokenPuppet(
      (json: Record<string, { primitives: { indices: number; attributes: { POSITION: number } }[] }[]>) => {
        const [primitive] = json.meshes![0]!.primitives;
        primitive!.indices = primitive!.attributes.POSITION;
      },
    );
    expect(await errorOf(() => readGltf(text))).toMatchObject({
      code: 'FORMAT_INVALID',
      details: { path: 'meshes[0].primitives[0].indices' },
    });
  });

  test('a primitive without one whole triangle beside others, which was written with an empty accessor', async () => {
    const source = oddDocument();
    const primitives = source.getRoot().listMeshes()[0]!.listPrimitives();
    primitives[4]!.getIndices()!.setArray(Uint8Array.of(1));
    const document = await readGltf(await io.writeBinary(source));
    const uvs = Float64Array.from({ length: 2 * document.cornerVertices.length }, (_, i) => i / 100);
    const written = await writeGltf(document, uvs);
    expect((await readGltf(written)).cornerVertices.length).toBe(document.cornerVertices.length);
    expect((await listErrors(written)).filter((error) => !error.includes('INDICES'))).toEqual([]);
  });

  test('a placement of a node that is no number', async () => {
    for (const field of ['translation', 'rotation', 'scale', 'matrix']) {
      for (const value of [null, 5, [1, 2], [1, 2, null], new Array(16).fill('1')]) {
        const text = await brokenPuppet((json: Record<string, object[]>) =>
          Object.assign(json.nodes![0]!, { [field]: value }),
        );
        expect((await errorOf(() => readGltf(text))).code).toBe('FORMAT_INVALID');
      }
    }
  });

  test('base64 that ends early, behind which lay other memory', async () => {
    const text = await brokenPuppet((json: Record<string, { uri: string }[]>) => {
      const [buffer] = json.buffers!;
      buffer!.uri = buffer!.uri.slice(0, -40).replace(/.{4}$/, '=AAA') + 'A'.repeat(40);
    });
    expect((await errorOf(() => readGltf(text))).code).toBe('FORMAT_INVALID');
  });

  test('a node’s matrix that has no translation, rotation and scale comes back as it was', async () => {
    for (const matrix of [
      [1, 0, 0, 0, 0.5, 1, 0, 0, 0, 0, 1, 0, 3, 4, 5, 1],
      [0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1],
      [1e200, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1],
    ]) {
      const text = await brokenPuppet((json: Record<string, object[]>) => {
        json.nodes![2] = { ...json.nodes![2], matrix };
      });
      const document = await readGltf(text);
      const back = await readGltf(await writeGltf(document, document.cornerUvs!));
      expect((back.source.json.nodes as object[])[2]).toMatchObject({ matrix });
      expect(back.mesh.points).toEqual(document.mesh.points);
    }
  });

  test('prims of one name, or with a slash in it', () => {
    const mesh = (name: string) =>
      `def Mesh "${name}" { int[] faceVertexCounts = [3] int[] faceVertexIndices = [0, 1, 2] point3f[] points = [(0, 0, 0), (1, 0, 0), (0, 1, 0)] }\n`;
    const document = readUsda(
      `#usda 1.0\ndef Xform "A" {}\ndef Xform "A" { ${mesh('B/C')} ${mesh('B')} ${mesh('B')} }\n`,
    );
    const uvs = Float64Array.from({ length: 18 }, (_, i) => i / 100);
    const back = readUsda(writeUsda(document, uvs));
    expect(back.prims).toHaveLength(3);
    expect(largestDifference(back.cornerUvs!, uvs)).toBeLessThan(1e-9);
  });

  test('names that are no text', async () => {
    const text = await brokenPuppet((json: Record<string, object[]>) => {
      json.meshes![0] = { ...json.meshes![0], name: { a: 1 } };
      json.materials![0] = { ...json.materials![0], name: 7 };
    });
    expect((await readGltf(text)).faceGroups.map(({ name }) => name)).toEqual(['mesh_0', 'unnamed']);
  });
});

test('a model so small and so far away that the grid for welding stood still', () => {
  for (const far of [1, 1e10, 1e30, 1e300]) {
    const points = [0, 1, 0, 0, 1, 9e-44, 9e-44, 1, 0].map((value) => value * far);
    const input = { points, faceVertexCounts: [3], faceVertexIndices: [0, 1, 2] };
    expect(['MESH_NO_AREA', undefined]).toContain(codeOf(() => buildMesh(input)));
    const moved = [0, 0, 0, 1, 0, 0, 0, 1, 0].map((value) => value + far);
    expect(['MESH_NO_AREA', undefined]).toContain(codeOf(() => buildMesh({ ...input, points: moved })));
  }
});

function codeOf(run: () => unknown): string | undefined {
  try {
    run();
  } catch (error) {
    return (error as { code?: string }).code ?? 'crash';
  }
  return undefined;
}
