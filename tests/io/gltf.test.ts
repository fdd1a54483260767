import { describe, expect, test } from 'vitest';
import type { GltfDocument } from '../../src/io/index.js';
import { createGlb, createObj, readGltf, writeGltf } from '../../src/io/index.js';
import type { MeshInput } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import {
  cornerPositions,
  io,
  listErrors,
  loadWithThree,
  oddDocument,
  puppetDocument,
} from './gltf-shapes.js';
import { ball, CUBE, cutUvs, errorOf, largestDifference, sheet } from './shapes.js';

const puppet = async () => readGltf(await io.writeBinary(puppetDocument()));
const odd = async () => readGltf(await io.writeBinary(oddDocument()));
/** Every third edge is a seam. */
const someSeams = (document: GltfDocument) => cutUvs(document.mesh, (edge) => edge % 3 === 0);

describe('readGltf', () => {
  test('reads a skinned mesh in its bind shape', async () => {
    const document = await puppet();
    expect(largestDifference(document.mesh.points, ball(8, 6).points)).toBeLessThan(1e-6);
    expect(Array.from(document.mesh.faceVertexIndices)).toEqual(Array.from(ball(8, 6).faceVertexIndices));
    expect(document).toMatchObject({ format: 'glb', upAxis: 'y', metersPerUnit: 1, warnings: [] });
    expect(document.faceGroups.map(({ kind, name }) => [kind, name])).toEqual([
      ['object', 'puppet'],
      ['material', 'painted wood'],
    ]);
  });

  // glTF 2.0, 3.8.3: the origin of UVs is the upper left corner of the image.
  test('turns UVs to a lower-left origin, of any set', async () => {
    const document = await puppet();
    const first = document.mesh.faceVertexIndices[0]!;
    expect(
      largestDifference(document.cornerUvs!.slice(0, 2), [first / 50, 1 - (2 * first + 1) / 100]),
    ).toBeLessThan(1e-6);
    const glb = await io.writeBinary(puppetDocument());
    const second = await readGltf(glb, { texCoord: 1 });
    expect(
      largestDifference(second.cornerUvs!.slice(0, 2), [1 - first / 100, (2 * first + 1) / 200]),
    ).toBeLessThan(1e-6);
    expect((await readGltf(glb, { texCoord: 5 })).cornerUvs).toBeUndefined();
  });

  test('reads strips, fans and lists, and turns what a mirroring node turned inside out', async () => {
    const document = await odd();
    expect(document.mesh.faceVertexCounts.length).toBe(4 + 3 + 2 + 2);
    // glTF 2.0, 3.7.2.1: every triangle of a strip has the winding of the first.
    const mesh = buildMesh(document.mesh);
    expect(mesh.repairs.filter(({ kind }) => kind === 'flipped-neighbour')).toEqual([]);
    expect(mesh.repairs.find(({ kind }) => kind === 'welded-points')!.elements.length).toBe(2);
    // The first vertex after the node's scale of -2, 2, 2 and the moves by 10, 0, 0 and 0, 0, 5.
    expect(Array.from(document.mesh.points.slice(0, 6))).toEqual([10, 0, 10, 10, 2, 10]);
    expect(document.warnings).toEqual([
      '1 triangles name a vertex twice; they are kept in the file and ignored',
    ]);
    const area = (f: number) => {
      const [a, b, c] = [0, 1, 2].map((k) => 3 * document.mesh.faceVertexIndices[3 * f + k]!);
      const p = document.mesh.points;
      return (p[b!]! - p[a!]!) * (p[c! + 1]! - p[a! + 1]!) - (p[c!]! - p[a!]!) * (p[b! + 1]! - p[a! + 1]!);
    };
    // Seen from +Z the strip runs clockwise in its file and the node mirrors it; the fan runs the other way.
    expect([0, 1, 2, 3].map((f) => Math.sign(area(f)))).toEqual([-1, -1, -1, -1]);
    expect([4, 5, 6].map((f) => Math.sign(area(f)))).toEqual([1, 1, 1]);
  });

  test('reads quantized positions and keeps them quantized', async () => {
    const { Document } = await import('@gltf-transform/core');
    const { KHRMeshQuantization } = await import('@gltf-transform/extensions');
    const source = new Document();
    source.createExtension(KHRMeshQuantization).setRequired(true);
    const positions = Int16Array.of(0, 0, 0, 32767, 0, 0, 32767, 32767, 0, 0, 32767, 0);
    const primitive = source
      .createPrimitive()
      .setAttribute(
        'POSITION',
        source.createAccessor().setType('VEC3').setArray(positions).setNormalized(true),
      )
      .setIndices(
        source
          .createAccessor()
          .setType('SCALAR')
          .setArray(Uint8Array.of(0, 1, 2, 0, 2, 3)),
      );
    source.createScene().addChild(source.createNode().setMesh(source.createMesh().addPrimitive(primitive)));
    const buffer = source.createBuffer();
    for (const accessor of source.getRoot().listAccessors()) accessor.setBuffer(buffer);
    const document = await readGltf(await io.writeBinary(source));
    expect(Array.from(document.mesh.points)).toEqual([0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0]);
    const { cornerUvs } = cutUvs(document.mesh, () => true);
    const glb = await writeGltf(document, cornerUvs);
    expect(await listErrors(glb)).toEqual([]);
    const back = await readGltf(glb);
    expect(back.mesh.points.length).toBe(18);
    expect(largestDifference(back.cornerUvs!, cornerUvs)).toBeLessThan(1e-6);
    expect(
      (back.source.json.accessors as { componentType: number }[]).some(
        ({ componentType }) => componentType === 5122,
      ),
    ).toBe(true);
  });

  test('reads a .gltf with files beside it and with data URIs', async () => {
    const { json, resources } = await io.writeJSON(puppetDocument(), { basename: 'puppet' });
    const text = JSON.stringify(json);
    expect((await errorOf(() => readGltf(text))).code).toBe('FILE_UNREADABLE');
    const asked: string[] = [];
    const document = await readGltf(text, {
      readResource: (uri) => {
        asked.push(uri);
        return resources[uri]!;
      },
    });
    expect(asked.sort()).toEqual(Object.keys(resources).sort());
    expect(document.format).toBe('gltf');
    expect(document.mesh.points).toEqual((await puppet()).mesh.points);
    const inline = structuredClone(json) as { buffers: { uri: string }[]; images: { uri: string }[] };
    for (const part of [...inline.buffers, ...inline.images]) {
      part.uri = `data:application/octet-stream;base64,${Buffer.from(resources[part.uri]!).toString('base64')}`;
    }
    const again = await readGltf(JSON.stringify(inline));
    expect(again.mesh.points).toEqual(document.mesh.points);
    expect(await listErrors(await writeGltf(again, again.cornerUvs!))).toEqual([]);
  });

  test('refuses other schemes, so that no file reaches a network', async () => {
    for (const uri of ['https://example.com/a.bin', 'file:///etc/passwd', '//host/a.bin', '__proto__', 7]) {
      const text = JSON.stringify({ asset: { version: '2.0' }, buffers: [{ uri, byteLength: 4 }] });
      expect((await errorOf(() => readGltf(text, { readResource: () => new Uint8Array(4) }))).code).toBe(
        'FORMAT_INVALID',
      );
    }
  });

  test('refuses compressed meshes with a way out', async () => {
    const json = {
      asset: { version: '2.0' },
      extensionsUsed: ['KHR_draco_mesh_compression'],
      extensionsRequired: ['KHR_draco_mesh_compression'],
    };
    const error = await errorOf(() => readGltf(JSON.stringify(json)));
    expect(error).toMatchObject({
      code: 'FORMAT_INVALID',
      details: { extension: 'KHR_draco_mesh_compression' },
    });
    expect(error.message).toMatch(/decompress it first/);
  });
});

describe('writeGltf', () => {
  test('splits vertices at seams and nowhere else', async () => {
    const document = await puppet();
    const { cornerUvs, cutVertexCount } = someSeams(document);
    const back = await readGltf(await writeGltf(document, cornerUvs));
    expect(back.mesh.points.length / 3).toBe(cutVertexCount);
    expect(largestDifference(back.cornerUvs!, cornerUvs)).toBeLessThan(1e-6);
    const uncut = await readGltf(await writeGltf(document, cutUvs(document.mesh, () => false).cornerUvs));
    expect(uncut.mesh.points.length).toBe(document.mesh.points.length);
  });

  test('a skinned, morphing mesh moves as it did: positions of all corners in several poses, by another reader', async () => {
    const original = await io.writeBinary(puppetDocument());
    const document = await readGltf(original);
    const written = await writeGltf(document, someSeams(document).cornerUvs);
    expect(await listErrors(original)).toEqual([]);
    expect(await listErrors(written)).toEqual([]);
    const before = await loadWithThree(original);
    const after = await loadWithThree(written);
    expect(after.clips.map(({ name, tracks }) => [name, tracks.length])).toEqual(
      before.clips.map(({ name, tracks }) => [name, tracks.length]),
    );
    const poses = [0, 0.25, 0.5, 0.999].map((time) => {
      before.pose(time);
      after.pose(time);
      const moved = cornerPositions(before.meshes[0]!);
      expect(largestDifference(cornerPositions(after.meshes[0]!), moved)).toBeLessThan(1e-6);
      return moved;
    });
    // The comparison would show nothing if the puppet stood still.
    expect(largestDifference(poses[0]!, poses[3]!)).toBeGreaterThan(0.5);
  });

  test('keeps attributes, morph targets, materials, extras and the other TEXCOORD set', async () => {
    const document = await puppet();
    const written = await io.readBinary(
      (await writeGltf(document, someSeams(document).cornerUvs)) as Uint8Array<ArrayBuffer>,
    );
    const original = puppetDocument();
    const part = (root: typeof original) => root.getRoot().listMeshes()[0]!.listPrimitives()[0]!;
    for (const semantic of [
      'POSITION',
      'NORMAL',
      'TEXCOORD_1',
      'COLOR_0',
      'JOINTS_0',
      'WEIGHTS_0',
      '_STRAIN',
    ]) {
      const values = [original, written].map((root) => {
        const accessor = part(root).getAttribute(semantic)!;
        const element: number[] = [];
        return Array.from(part(root).getIndices()!.getArray() as Uint16Array, (vertex) => [
          ...accessor.getElement(vertex, element),
        ]);
      });
      expect(values[1], semantic).toEqual(values[0]);
      expect(part(written).getAttribute(semantic)!.getComponentType()).toBe(
        part(original).getAttribute(semantic)!.getComponentType(),
      );
    }
    expect(
      part(written)
        .listTargets()
        .map((target) => target.getName()),
    ).toEqual(['swell', 'stretch']);
    const root = written.getRoot();
    expect(root.getExtras()).toEqual({ shelf: 4 });
    expect(part(written).getExtras()).toEqual({ layer: 'skin' });
    expect(root.listMaterials()[0]!.getExtras()).toEqual({ pigment: 'ochre' });
    expect(root.listTextures()[0]!.getImage()).toEqual(original.getRoot().listTextures()[0]!.getImage());
    expect(root.listNodes().map((node) => node.getName())).toEqual(['lower', 'upper', 'body']);
    expect(root.listMeshes()[0]!.getWeights()).toEqual([0.25, 0]);
    // No accessor of the file it came from is left over.
    const used = 9 - 1 + 1 + 2 * 2 + 1 + 3;
    expect(root.listAccessors().length).toBe(used);
  });

  test('drops tangents made for the replaced set only', async () => {
    const document = await puppet();
    const attributesOf = async (texCoord: number) => {
      const glb = await writeGltf(document, someSeams(document).cornerUvs, { texCoord });
      expect(await listErrors(glb)).toEqual([]);
      return (await io.readBinary(glb as Uint8Array<ArrayBuffer>))
        .getRoot()
        .listMeshes()[0]!
        .listPrimitives()[0]!
        .listSemantics();
    };
    expect(await attributesOf(0)).not.toContain('TANGENT');
    expect(await attributesOf(1)).toContain('TANGENT');
    expect(await attributesOf(2)).toContain('TEXCOORD_2');
    for (const texCoord of [3, -1, 0.5]) {
      expect(await errorOf(() => attributesOf(texCoord))).toMatchObject({ code: 'OPTION_INVALID' });
    }
  });

  test('joins the buffers of a file that has several', async () => {
    const source = puppetDocument();
    const second = source.createBuffer('second');
    source
      .getRoot()
      .listAccessors()
      .slice(4)
      .forEach((accessor) => void accessor.setBuffer(second));
    const { json, resources } = await io.writeJSON(source, { basename: 'a' });
    expect(json.buffers).toHaveLength(2);
    const document = await readGltf(JSON.stringify(json), { readResource: (uri) => resources[uri]! });
    const { cornerUvs } = someSeams(document);
    const glb = await writeGltf(document, cornerUvs);
    expect(await listErrors(glb)).toEqual([]);
    expect(largestDifference((await readGltf(glb)).cornerUvs!, cornerUvs)).toBeLessThan(1e-6);
  });

  test('writes strips, fans, soups and shared vertices back', async () => {
    const original = await io.writeBinary(oddDocument());
    const document = await readGltf(original);
    for (const isSeam of [() => true, () => false]) {
      const { cornerUvs } = cutUvs(document.mesh, isSeam);
      const glb = await writeGltf(document, cornerUvs);
      expect(await listErrors(glb)).toEqual([]);
      const back = await readGltf(glb);
      expect(largestDifference(back.cornerUvs!, cornerUvs)).toBeLessThan(1e-6);
      const positions = ({ mesh }: GltfDocument) =>
        Array.from(mesh.faceVertexIndices).flatMap((p) => Array.from(mesh.points.slice(3 * p, 3 * p + 3)));
      expect(positions(back)).toEqual(positions(document));
      expect(back.faceGroups).toEqual(document.faceGroups);
      const three = await loadWithThree(glb);
      expect(three.meshes).toHaveLength(5);
    }
  });

  test('keeps extensions it does not know as far as that is safe, and says which it cannot keep', async () => {
    const { json, resources } = await io.writeJSON(puppetDocument(), { basename: 'puppet' });
    const file = structuredClone(json) as unknown as Record<string, unknown> & {
      nodes: object[];
      meshes: { primitives: object[] }[];
    };
    file.extensionsUsed = ['MADE_UP_strings', 'MADE_UP_texture'];
    file.extensions = { MADE_UP_strings: { joints: [{ node: 1 }] } };
    Object.assign(file.nodes[1]!, { extensions: { MADE_UP_strings: { length: 12 } } });
    Object.assign(file.meshes[0]!.primitives[0]!, {
      extensions: { MADE_UP_texture: { shadeTexture: { index: 0 } } },
    });
    const document = await readGltf(JSON.stringify(file), { readResource: (uri) => resources[uri]! });
    expect(document.warnings).toEqual([
      'the extension "MADE_UP_texture" is not known here and will be missing when the file is written',
    ]);
    const glb = await writeGltf(document, document.cornerUvs!);
    const length = new DataView(glb.buffer).getUint32(12, true);
    const written = JSON.parse(new TextDecoder().decode(glb.subarray(20, 20 + length)));
    expect(written.extensions).toEqual(file.extensions);
    expect(written.nodes[1].extensions).toEqual({ MADE_UP_strings: { length: 12 } });
    expect(written.extensionsUsed).toEqual(['MADE_UP_strings']);
  });

  test('writes the same bytes every time and leaves the document as it was', async () => {
    const document = await puppet();
    const { cornerUvs } = someSeams(document);
    const first = await writeGltf(document, cornerUvs);
    expect(await writeGltf(document, cornerUvs)).toEqual(first);
    expect(await writeGltf(await puppet(), cornerUvs)).toEqual(first);
  });

  test('a corner without a UV takes its vertex as it is', async () => {
    const document = await puppet();
    const glb = await writeGltf(
      document,
      new Float64Array(2 * document.cornerVertices.length).fill(Number.NaN),
    );
    expect(await listErrors(glb)).toEqual([]);
    expect((await readGltf(glb)).mesh.points.length).toBe(document.mesh.points.length);
  });
});

describe('createGlb', () => {
  test.each([
    ['cube of quads', CUBE],
    ['bordered sheet', flat(sheet(5, 4))],
    [
      'one polygon of seven corners, concave',
      {
        points: [0, 0, 0, 4, 0, 0, 4, 4, 0, 3, 1, 0, 2, 4, 0, 1, 1, 0, 0, 4, 0],
        faceVertexCounts: [7],
        faceVertexIndices: [0, 1, 2, 3, 4, 5, 6],
      },
    ],
  ])('writes a valid file of a %s with its whole surface', async (_, input) => {
    const { cornerUvs, cutVertexCount } = cutUvs(input, (edge) => edge % 2 === 0);
    const glb = await createGlb(input, cornerUvs, { upAxis: 'z', metersPerUnit: 0.5 });
    expect(await listErrors(glb)).toEqual([]);
    const back = await readGltf(glb);
    expect(back.mesh.points.length / 3).toBe(cutVertexCount);
    expect(totalArea(back.mesh)).toBeCloseTo(0.25 * totalArea(createObj(input).mesh), 6);
    // Z up became Y up: (x, y, z) -> (x, z, -y), half as large.
    expect(
      largestDifference(back.mesh.points.slice(0, 3), [
        input.points[0]! / 2,
        input.points[2]! / 2,
        -input.points[1]! / 2,
      ]),
    ).toBeLessThan(1e-6);
    const { meshes } = await loadWithThree(glb);
    expect(meshes[0]!.geometry.attributes.uv!.getY(0)).toBeCloseTo(1 - cornerUvs[1]!, 6);
  });

  test('makes a primitive of each material', async () => {
    const faceGroups = [{ name: 'oak', kind: 'material' as const, faces: Int32Array.of(1, 2) }];
    const back = await readGltf(await createGlb(CUBE, new Float64Array(48), { faceGroups }));
    expect(
      back.faceGroups
        .filter(({ kind }) => kind === 'material')
        .map(({ name, faces }) => [name, faces.length]),
    ).toEqual([['oak', 4]]);
  });
});

/** The mesh pressed into the plane z = 0, where every way to cut its faces has one area. */
function flat(input: MeshInput): MeshInput {
  return { ...input, points: Array.from(input.points, (value, i) => (i % 3 === 2 ? 0 : value)) };
}

/** Sum of the areas of flat polygons, by their vector areas. */
function totalArea(mesh: {
  points: ArrayLike<number>;
  faceVertexCounts: ArrayLike<number>;
  faceVertexIndices: ArrayLike<number>;
}): number {
  let total = 0;
  for (let f = 0, first = 0; f < mesh.faceVertexCounts.length; f++) {
    const size = mesh.faceVertexCounts[f]!;
    const sum = [0, 0, 0];
    for (let k = 0; k < size; k++) {
      const p = 3 * mesh.faceVertexIndices[first + k]!;
      const q = 3 * mesh.faceVertexIndices[first + ((k + 1) % size)]!;
      for (let i = 0; i < 3; i++) {
        sum[i]! +=
          (mesh.points[p + ((i + 1) % 3)]! * mesh.points[q + ((i + 2) % 3)]! -
            mesh.points[p + ((i + 2) % 3)]! * mesh.points[q + ((i + 1) % 3)]!) /
          2;
      }
    }
    total += Math.hypot(...sum);
    first += size;
  }
  return total;
}
