import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildMesh, computeFaceGeometry } from '../../src/mesh/index.js';
import {
  cube,
  dropFaces,
  explodeMesh,
  flipFaces,
  jitterMesh,
  joinMeshes,
  listFaces,
  meshArbitraries,
  mirrorMesh,
  prism,
  rotateMesh,
  scaleMesh,
  seededRandom,
  shuffleMesh,
  subdivideMesh,
  torus,
  translateMesh,
  triangulateMesh,
} from '../../src/testing/index.js';

const meshes = meshArbitraries(fc);
const areaOf = (mesh: Parameters<typeof buildMesh>[0]) =>
  computeFaceGeometry(buildMesh(mesh)).faceAreas.reduce((a, b) => a + b, 0);

describe('seeded random numbers', () => {
  it('repeat by the seed, differ between seeds and fill their range', () => {
    const draw = (seed: number) => {
      const random = seededRandom(seed);
      return Array.from({ length: 1000 }, () => random.next());
    };
    expect(draw(1)).toEqual(draw(1));
    expect(draw(1)).not.toEqual(draw(2));
    const values = draw(12345);
    expect(Math.min(...values)).toBeGreaterThanOrEqual(0);
    expect(Math.max(...values)).toBeLessThan(1);
    // Mean of 1000 uniforms: 0.5 with a standard deviation of 0.0091.
    expect(Math.abs(values.reduce((a, b) => a + b) / 1000 - 0.5)).toBeLessThan(0.05);
    expect([...seededRandom(3).permutation(50)].sort((a, b) => a - b)).toEqual([...Array(50).keys()]);
  });
});

describe('deform', () => {
  it('shuffles into the same surface, and says where everything came from', () => {
    fc.assert(
      fc.property(meshes.manifold, fc.integer({ min: 0, max: 1e6 }), ({ mesh }, seed) => {
        const { mesh: shuffled, pointSources, faceSources } = shuffleMesh(mesh, seed);
        expect(shuffleMesh(mesh, seed).mesh).toEqual(shuffled);
        const before = listFaces(mesh);
        listFaces(shuffled).forEach((face, f) => {
          const old = face.map((p) => pointSources[p]!);
          const source = before[faceSources[f]!]!;
          const turn = source.indexOf(old[0]!);
          expect(old).toEqual(source.map((_, k) => source[(k + turn) % source.length]));
        });
        for (let p = 0; p < pointSources.length; p++)
          for (let k = 0; k < 3; k++)
            expect(shuffled.points[3 * p + k]).toBe(mesh.points[3 * pointSources[p]! + k]);
      }),
      { numRuns: 25 },
    );
  });

  it('keeps topology when triangulating and subdividing, and area on planar faces', () => {
    fc.assert(
      fc.property(meshes.manifold, ({ mesh, eulerCharacteristic }) => {
        for (const divide of [triangulateMesh, subdivideMesh]) {
          const { mesh: divided, faceSources } = divide(mesh);
          const built = buildMesh(divided, { weldTolerance: 0 });
          expect(built.vertexCount - built.edgeCount + built.faceCount).toBe(eulerCharacteristic);
          expect(faceSources.length).toBe(built.faceCount);
          expect(new Set(faceSources).size).toBe(mesh.faceVertexCounts.length);
        }
      }),
      { numRuns: 25 },
    );
    expect(areaOf(triangulateMesh(prism(7)).mesh)).toBeCloseTo(areaOf(prism(7)), 12);
    expect(areaOf(subdivideMesh(prism(7)).mesh)).toBeCloseTo(areaOf(prism(7)), 12);
    expect(subdivideMesh(cube()).mesh.faceVertexCounts.length).toBe(24);
  });

  it('moves by similarity', () => {
    const moved = translateMesh(scaleMesh(rotateMesh(torus(), [1, 1, 0], 30), 3), [1, 2, 3]);
    expect(areaOf(moved)).toBeCloseTo(9 * areaOf(torus()), 9);
    const turned = rotateMesh(
      { points: [1, 0, 0], faceVertexCounts: [], faceVertexIndices: [] },
      [0, 1, 0],
      90,
    );
    expect([...turned.points].map((x) => Math.round(1e12 * x) / 1e12 + 0)).toEqual([0, 0, -1]);
  });

  it('mirrors with faces still outwards, and flips faces there and back', () => {
    const volume = (mesh: Parameters<typeof buildMesh>[0]) => {
      const { faceNormals, faceAreas, faceCentroids } = computeFaceGeometry(buildMesh(mesh));
      return faceNormals.reduce(
        (sum, n, i) => sum + (n * faceAreas[Math.floor(i / 3)]! * faceCentroids[i]!) / 3,
        0,
      );
    };
    expect(volume(mirrorMesh(cube(), 0))).toBeCloseTo(1, 12);
    expect(
      flipFaces(
        flipFaces(torus(), (f) => f % 3 === 0),
        (f) => f % 3 === 0,
      ),
    ).toEqual(torus());
  });

  it('jitters within the amount, joins, explodes and drops', () => {
    const jittered = jitterMesh(cube(), 0.1, 4);
    expect(jittered.points.every((x, i) => Math.abs(x - cube().points[i]!) <= 0.1)).toBe(true);
    const pair = joinMeshes([cube(), translateMesh(torus(), [9, 0, 0])]);
    expect(buildMesh(pair).shellCount).toBe(2);
    expect(explodeMesh(cube()).points.length).toBe(72);
    expect(buildMesh(explodeMesh(cube()), { weldTolerance: 0 }).shellCount).toBe(6);
    expect(buildMesh(explodeMesh(cube())).vertexCount).toBe(8);
    expect(dropFaces(cube(), (f) => f === 0).faceVertexCounts.length).toBe(5);
  });
});
