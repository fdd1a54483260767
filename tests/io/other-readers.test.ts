import fc from 'fast-check';
import type { BufferGeometry, Group, Mesh as ThreeMesh } from 'three';
import { OBJLoader } from 'three/examples/jsm/loaders/OBJLoader.js';
import { PLYLoader } from 'three/examples/jsm/loaders/PLYLoader.js';
import { USDLoader } from 'three/examples/jsm/loaders/USDLoader.js';
import { expect, test } from 'vitest';
import { createGlb, createObj, createUsda, readPly, writeObj, writeUsda } from '../../src/io/index.js';
import type { MeshInput } from '../../src/mesh/index.js';
import { loadWithThree } from './gltf-shapes.js';
import { anyCutShape, largestDifference } from './shapes.js';

// three's loaders share no code with ours, and read what we write; they keep single precision, so the texts are
// written with all the decimals there are, lest a value be rounded twice.
const EXACT = { decimals: 15 };

/** Every place of a mesh with the UV it has there, once, in single precision, sorted. */
function pairs(places: Iterable<readonly number[]>): string[] {
  const found = new Set<string>();
  for (const values of places) found.add(values.map((value) => Math.fround(value) + 0).join(' '));
  return [...found].sort();
}

function pairsOf(
  { points, faceVertexIndices }: MeshInput,
  cornerUvs: Float64Array,
  flipsV = false,
): string[] {
  return pairs(
    Array.from(faceVertexIndices, (point, corner) => {
      const v = cornerUvs[2 * corner + 1]!;
      return [
        points[3 * point]!,
        points[3 * point + 1]!,
        points[3 * point + 2]!,
        cornerUvs[2 * corner]!,
        flipsV ? 1 - v : v,
      ];
    }),
  );
}

function pairsOfThree(geometry: BufferGeometry): string[] {
  const position = geometry.attributes.position!;
  const uv = geometry.attributes.uv!;
  const vertices = geometry.index
    ? Array.from(geometry.index.array)
    : Array.from({ length: position.count }, (_, i) => i);
  return pairs(
    vertices.map((i) => [position.getX(i), position.getY(i), position.getZ(i), uv.getX(i), uv.getY(i)]),
  );
}

function onlyGeometry(group: Group): BufferGeometry {
  const geometries: BufferGeometry[] = [];
  group.traverse((object) => {
    if ((object as ThreeMesh).isMesh) geometries.push((object as ThreeMesh).geometry);
  });
  expect(geometries).toHaveLength(1);
  return geometries[0]!;
}

test('OBJ is read by another reader as it was meant', () => {
  fc.assert(
    fc.property(anyCutShape(), ({ input, cornerUvs }) => {
      const group = new OBJLoader().parse(writeObj(createObj(input), cornerUvs, EXACT));
      expect(pairsOfThree(onlyGeometry(group))).toEqual(pairsOf(input, cornerUvs));
    }),
    { numRuns: 20 },
  );
});

test('OpenUSD text with seams and charts is read by another reader as it was meant', () => {
  fc.assert(
    fc.property(anyCutShape(), ({ input, cornerUvs }) => {
      const faces = Array.from({ length: input.faceVertexCounts.length }, (_, f) => f);
      const text = writeUsda(createUsda(input), cornerUvs, {
        seams: [{ edges: [[0, 1]], role: 'collar', reason: 'hidden "here"' }],
        ...EXACT,
        charts: [{ faces: faces.slice(0, 1) }, { faces: faces.slice(1) }],
      });
      const group = new USDLoader().parse(text);
      const geometries: BufferGeometry[] = [];
      group.traverse((object) => {
        if ((object as ThreeMesh).isMesh) geometries.push((object as ThreeMesh).geometry);
      });
      expect([...new Set(geometries.flatMap((geometry) => pairsOfThree(geometry)))].sort()).toEqual(
        pairsOf(input, cornerUvs),
      );
    }),
    { numRuns: 20 },
  );
});

// glTF 2.0, 3.8.3: the origin of UVs is the upper left corner, so v is turned on the way out.
test('GLB is read by another reader as it was meant', async () => {
  await fc.assert(
    fc.asyncProperty(anyCutShape(), async ({ input, cornerUvs }) => {
      const { meshes } = await loadWithThree(await createGlb(input, cornerUvs));
      expect(pairsOfThree(meshes[0]!.geometry)).toEqual(pairsOf(input, cornerUvs, true));
    }),
    { numRuns: 20 },
  );
});

test('PLY is read as another reader reads it', () => {
  const text =
    'ply\nformat ascii 1.0\nelement vertex 5\nproperty double x\nproperty float y\nproperty float z\nproperty float s\nproperty float t\n' +
    'element face 2\nproperty list uchar uint vertex_indices\nend_header\n0 0 0 0 0\n1.5 0 0 1 0\n1 1e0 0 1 1\n0 1 -2.25 0 1\n3 3 3 0.5 0.25\n4 0 1 2 3\n3 2 3 4\n';
  const geometry = new PLYLoader().parse(text);
  const document = readPly(text);
  expect(largestDifference(geometry.attributes.position!.array, document.mesh.points)).toBe(0);
  expect(pairsOfThree(geometry)).toEqual(pairsOf(document.mesh, document.cornerUvs!));
});
