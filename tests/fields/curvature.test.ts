import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { computeCurvature, computeVertexAreas, triangulateFaces } from '../../src/fields/index.js';
import type { Mesh, MeshInput } from '../../src/mesh/index.js';
import { computeFaceGeometry, computeVertexPositions } from '../../src/mesh/index.js';
import {
  cells,
  creature,
  joined,
  meshOf,
  moved,
  patch,
  shuffle,
  sphere,
  torus,
  triangulated,
  tube,
} from './shapes.js';

const sum = (values: ArrayLike<number>) => Array.from(values).reduce((a, b) => a + b, 0);
const euler = (mesh: Mesh) => mesh.vertexCount - mesh.edgeCount + mesh.faceCount;

const SHAPES: readonly (readonly [string, MeshInput])[] = [
  ['closed sphere', sphere(4)],
  ['bordered tube', tube(7, 3, 1, 2)],
  ['torus', torus(9, 6)],
  ['flat patch', patch(4, 3)],
  ['creature of quads', creature(2)],
  ['creature of triangles', triangulated(creature(2))],
  ['several shells', joined(sphere(3), torus(5, 4), patch(2, 2))],
];

describe('computeCurvature', () => {
  for (const [name, input] of SHAPES)
    test(`angle defects sum to 2πχ (Gauss–Bonnet): ${name}`, () => {
      const mesh = meshOf(input);
      expect(sum(computeCurvature(mesh).vertexDefects)).toBeCloseTo(2 * Math.PI * euler(mesh), 8);
    });

  test('Gauss–Bonnet holds on warped and concave n-gons whatever the points', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 24, maxLength: 24 }),
        (shift) => {
          // A hexagonal prism: two hexagons and six quads, every point pushed about.
          const points = Array.from({ length: 12 }, (_, i) => [
            2 * Math.cos((i % 6) * (Math.PI / 3)) + shift[2 * i]! / 2,
            2 * Math.sin((i % 6) * (Math.PI / 3)) + shift[2 * i + 1]! / 2,
            i < 6 ? -1 : 1 + shift[i]! / 2,
          ]).flat();
          const mesh = meshOf({
            points,
            faceVertexCounts: [6, 6, 4, 4, 4, 4, 4, 4],
            faceVertexIndices: [
              5,
              4,
              3,
              2,
              1,
              0,
              6,
              7,
              8,
              9,
              10,
              11,
              ...[0, 1, 2, 3, 4, 5].flatMap((i) => [i, (i + 1) % 6, 6 + ((i + 1) % 6), 6 + i]),
            ],
          });
          const { vertexDefects, cornerAngles } = computeCurvature(mesh);
          expect(sum(vertexDefects)).toBeCloseTo(4 * Math.PI, 8);
          for (let f = 0; f < mesh.faceCount; f++) {
            const angles = cornerAngles.subarray(mesh.faceOffsets[f], mesh.faceOffsets[f + 1]);
            expect(sum(angles)).toBeCloseTo((angles.length - 2) * Math.PI, 9);
          }
        },
      ),
      { numRuns: 50 },
    );
  });

  test('a cube has defects of π/2 and right-angled convex edges', () => {
    const { vertexDefects, edgeDihedrals, edgeConcavity } = computeCurvature(meshOf(cells([[0, 0, 0]])));
    for (const defect of vertexDefects) expect(defect).toBeCloseTo(Math.PI / 2, 12);
    for (const dihedral of edgeDihedrals) expect(dihedral).toBeCloseTo(Math.PI / 2, 12);
    expect(Math.max(...edgeConcavity)).toBe(0);
  });

  test('a cone apex has the defect 2π(1 − r/s) as its fan gets finer', () => {
    // Slant s = 2, r = 1: π. With n sides each base angle is 2·asin((r/s)·sin(π/n)).
    const n = 32;
    const points = [0, Math.sqrt(3), 0];
    for (let i = 0; i < n; i++)
      points.push(Math.cos((2 * Math.PI * i) / n), 0, Math.sin((2 * Math.PI * i) / n));
    const mesh = meshOf({
      points,
      faceVertexCounts: new Array(n).fill(3),
      faceVertexIndices: Array.from({ length: n }, (_, i) => [0, 1 + ((i + 1) % n), 1 + i]).flat(),
    });
    const apex = computeCurvature(mesh).vertexDefects[mesh.cornerVertices[0]!]!;
    expect(apex).toBeCloseTo(2 * Math.PI - 2 * n * Math.asin(0.5 * Math.sin(Math.PI / n)), 12);
    expect((360 - (apex * 180) / Math.PI) / 1).toBeCloseTo(179.783, 3);
  });

  test('a valley folds inwards: negative dihedrals, concavity growing with the fold and not with the mesh', () => {
    const valley = (slope: number, n: number) =>
      meshOf(moved(patch(2 * n, 1), ([x, y]) => [x / n - 1, y, slope * Math.abs(x / n - 1)]));
    const fold = (slope: number, n: number) => {
      const { edgeDihedrals, edgeConcavity } = computeCurvature(valley(slope, n));
      expect(Math.min(...edgeDihedrals)).toBeCloseTo(-2 * Math.atan(slope), 9);
      expect(Math.max(...edgeDihedrals)).toBeCloseTo(0, 9);
      return Math.max(...edgeConcavity);
    };
    expect(fold(0.1, 4)).toBeLessThan(fold(0.5, 4));
    expect(fold(0.5, 4)).toBeLessThan(fold(2, 4));
    // A round groove has one concavity however fine its quads are.
    const groove = (n: number) => {
      const mesh = meshOf(
        moved(patch(n, 1), ([x, y]) => {
          const angle = Math.PI * (x / n);
          return [-Math.cos(angle), y, -Math.sin(angle)];
        }),
      );
      const values = computeCurvature(mesh).edgeConcavity.filter((c) => c > 0);
      return sum(values) / values.length;
    };
    expect(groove(40)).toBeCloseTo(groove(20), 2);
  });

  test('turned input faces give the same signs', () => {
    const input = creature(2);
    const indices = Array.from(input.faceVertexIndices);
    const flipped = { ...input, faceVertexIndices: [...indices.slice(0, 4).reverse(), ...indices.slice(4)] };
    const sorted = (mesh: Mesh) => [...computeCurvature(mesh).edgeDihedrals].map((x) => x.toFixed(9)).sort();
    expect(sorted(meshOf(flipped))).toEqual(sorted(meshOf(input)));
  });
});

describe('vertex geometry', () => {
  test('areas of a sphere sum to the surface', () => {
    const mesh = meshOf(sphere(16));
    expect(sum(computeVertexAreas(mesh))).toBeCloseTo(sum(computeFaceGeometry(mesh).faceAreas), 10);
  });
});

describe('triangulateFaces', () => {
  test('splits a concave quad from its inner corner, whatever corner comes first', () => {
    // The inner corner is (1, 0.5): the other diagonal runs outside.
    const corners = [
      [0, 0, 0],
      [1, 0.5, 0],
      [2, 0, 0],
      [1, 3, 0],
    ];
    for (let turn = 0; turn < 4; turn++) {
      const order = [0, 1, 2, 3].map((k) => (k + turn) % 4);
      const mesh = meshOf({
        points: order.flatMap((k) => corners[k]!),
        faceVertexCounts: [4],
        faceVertexIndices: [0, 1, 2, 3],
      });
      const { triangleVertices } = triangulateFaces(mesh);
      const inner = mesh.cornerVertices[order.indexOf(1)]!;
      expect([...triangleVertices].filter((v) => v === inner)).toHaveLength(2);
    }
  });

  test('a face of n corners gives n − 2 triangles, split the same way in any order', () => {
    const input = creature(2);
    const keys = (given: MeshInput) => {
      const mesh = meshOf(given);
      const positions = computeVertexPositions(mesh);
      const { triangleVertices } = triangulateFaces(mesh);
      expect(triangleVertices).toHaveLength(3 * (mesh.cornerCount - 2 * mesh.faceCount));
      return Array.from({ length: triangleVertices.length / 3 }, (_, t) =>
        [0, 1, 2]
          .map((k) =>
            [0, 1, 2].map((i) => positions[3 * triangleVertices[3 * t + k]! + i]!.toFixed(9)).join(),
          )
          .sort()
          .join('|'),
      ).sort();
    };
    expect(keys(shuffle(input, 5).input)).toEqual(keys(input));
  });
});
