import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Mesh } from '../../src/mesh/index.js';
import { buildMesh, canonicalMesh, edgeVertices, isBorderVertex } from '../../src/mesh/index.js';
import { meshArbitraries } from '../../src/testing/index.js';
import { cells, creature, joined, meshOf, moved, patch, shuffle, sphere, torus } from '../fields/shapes.js';

const meshes = meshArbitraries(fc);
const RUNS = process.env.SEAMWRIGHT_LONG ? 1000 : 60;

type Point = [number, number, number];

const pointAt = (points: ArrayLike<number>, i: number): Point => [
  points[3 * i]!,
  points[3 * i + 1]!,
  points[3 * i + 2]!,
];

/** A box of 2 × 3 × 6 about (10, 20, 30), so of diagonal 7. */
const box = meshOf(moved(cells([[0, 0, 0]]), ([x, y, z]) => [10 + 2 * x, 20 + 3 * y, 30 + 6 * z]));

describe('canonicalMesh', () => {
  it('turns up to +y and front to +z, centres the box and makes its diagonal 1', () => {
    const { mesh } = canonicalMesh(box, [0, 0, 1], [0, -1, 0]);
    // Left is +x: up × front, which is +x here.
    const places = Array.from({ length: 8 }, (_, v) => pointAt(mesh.points, v).map((c) => 14 * c));
    const expected = [-2, 2].flatMap((x) => [-6, 6].flatMap((y) => [-3, 3].map((z) => [x, y, z])));
    places.forEach((place, v) => {
      place.forEach((c, k) => {
        expect(c).toBeCloseTo(expected[v]![k]!, 5);
      });
    });
    expect([mesh.diagonal, mesh.shellCount, mesh.edgeCount]).toEqual([1, 1, 12]);
    const turned = canonicalMesh(box, [0, 3, 0], [0, 0.5, -2]).mesh;
    // Up stays, front is made square to it, and left is −x.
    expect(Math.max(...turned.points.map((c) => 14 * Math.abs(c)))).toBeCloseTo(6, 5);
    expect(pointAt(turned.points, 0).map((c) => Math.round(14 * c))).toEqual([-2, -3, -6]);
  });

  it('rounds coordinates to 2⁻²² of the diagonal', () => {
    const { mesh } = canonicalMesh(meshOf(sphere(4)), [0, 1, 0], [0, 0, 1]);
    expect([...mesh.points].every((c) => Number.isInteger(c * 2 ** 22))).toBe(true);
  });

  it('is the same however the caller numbered, turned, moved and scaled the model', () => {
    // The last are boxes that touch at corners: vertices in one place are told apart by what lies round them.
    const touching = cells([
      [0, 0, 0],
      [1, 1, 1],
      [2, 0, 2],
      [1, -1, 3],
    ]);
    const shapes = [
      creature(2),
      sphere(3),
      torus(7, 5),
      patch(4, 3),
      joined(sphere(2), torus(5, 4)),
      touching,
    ];
    fc.assert(
      fc.property(
        fc.constantFrom(...shapes),
        fc.nat(1000),
        fc.nat(2),
        fc.nat(3),
        (input, seed, turn, power) => {
          const axes: Point[] = [
            [0, 1, 0],
            [0, 0, 1],
          ];
          // Whole turns of the axes and powers of two are exact.
          const spin = ([x, y, z]: readonly number[]): Point =>
            turn === 0 ? [x!, y!, z!] : turn === 1 ? [y!, z!, x!] : [z!, x!, y!];
          const scale = 2 ** (power - 1);
          const shuffled = shuffle(
            moved(input, (p) => spin(p).map((c) => scale * (c + 8)) as Point),
            seed,
          );
          const own = canonicalMesh(meshOf(input), axes[0]!, axes[1]!);
          const other = canonicalMesh(meshOf(shuffled.input), spin(axes[0]!), spin(axes[1]!));
          expect(other.mesh).toEqual(own.mesh);
        },
      ),
      { numRuns: RUNS },
    );
  });

  it('carries the topology over, and tells where everything came from', () => {
    fc.assert(
      fc.property(meshes.any, (value) => {
        const source = buildMesh(value.mesh);
        const canonical = canonicalMesh(source, [0, 1, 0], [0, 0, 1]);
        const { mesh, faces, vertices, edges } = canonical;
        expect([...faces].sort((a, b) => a - b)).toEqual([...faces.keys()]);
        expect([...vertices].sort((a, b) => a - b)).toEqual([...vertices.keys()]);
        expect([...edges].sort((a, b) => a - b)).toEqual([...edges.keys()]);
        expect(mesh.cornerPoints).toEqual(mesh.cornerVertices);
        expectSound(mesh);
        for (let f = 0; f < mesh.faceCount; f++) {
          const own = Array.from(
            mesh.cornerVertices.subarray(mesh.faceOffsets[f], mesh.faceOffsets[f + 1]),
            (v) => vertices[v]!,
          );
          expect(own).toEqual(walkFrom(source, faces[f]!, own[0]!));
          expect(mesh.faceShells[f]! <= f).toBe(true);
        }
        for (let e = 0; e < mesh.edgeCount; e++) {
          const ends = edgeVertices(mesh, e).map((v) => vertices[v]!);
          expect(ends.sort()).toEqual([...edgeVertices(source, edges[e]!)].sort());
        }
        const shells = new Set(
          faces.map((f, i) => source.faceShells[f]! * mesh.shellCount + mesh.faceShells[i]!),
        );
        expect([shells.size, mesh.shellCount]).toEqual([source.shellCount, source.shellCount]);
        for (let v = 0; v < mesh.vertexCount; v++)
          expect(isBorderVertex(mesh, v)).toBe(isBorderVertex(source, vertices[v]!));
      }),
      { numRuns: RUNS },
    );
  });

  it('puts vertices in the order of their places, and faces in that of their vertices', () => {
    fc.assert(
      fc.property(meshes.any, (value) => {
        const { mesh } = canonicalMesh(buildMesh(value.mesh), [0, 1, 0], [0, 0, 1]);
        const isBefore = (a: readonly number[], b: readonly number[]) => {
          const k = a.findIndex((x, i) => x !== b[i]);
          return k < 0 || a[k]! < b[k]!;
        };
        for (let v = 1; v < mesh.vertexCount; v++)
          expect(isBefore(pointAt(mesh.points, v - 1), pointAt(mesh.points, v))).toBe(true);
        const corners = (f: number) => [
          ...mesh.cornerVertices.subarray(mesh.faceOffsets[f], mesh.faceOffsets[f + 1]),
        ];
        for (let f = 0; f < mesh.faceCount; f++) {
          expect(corners(f)[0]).toBe(Math.min(...corners(f)));
          if (f > 0) expect(isBefore(corners(f - 1).slice(0, 3), corners(f).slice(0, 3))).toBe(true);
        }
      }),
      { numRuns: RUNS },
    );
  });
});

/** Vertices round a face in the topology's orientation, from a given one. */
function walkFrom(mesh: Mesh, f: number, vertex: number): number[] {
  const around: number[] = [];
  let h = mesh.faceOffsets[f]!;
  while (mesh.cornerVertices[h] !== vertex) h++;
  for (let k = mesh.faceOffsets[f]!; k < mesh.faceOffsets[f + 1]!; k++, h = mesh.next[h]!)
    around.push(mesh.cornerVertices[h]!);
  return around;
}

function expectSound(mesh: Mesh): void {
  for (let h = 0; h < mesh.cornerCount; h++) {
    const f = mesh.cornerFaces[h]!;
    expect(h >= mesh.faceOffsets[f]! && h < mesh.faceOffsets[f + 1]!).toBe(true);
    expect([mesh.prev[mesh.next[h]!], mesh.next[mesh.prev[h]!]]).toEqual([h, h]);
    expect(mesh.cornerFaces[mesh.next[h]!]).toBe(f);
    const t = mesh.twin[h]!;
    if (t >= 0) {
      expect(mesh.twin[t]).toBe(h);
      expect(mesh.cornerVertices[t]).toBe(mesh.cornerVertices[mesh.next[h]!]);
      expect(mesh.halfEdgeEdges[t]).toBe(mesh.halfEdgeEdges[h]);
    }
  }
  for (let e = 0; e < mesh.edgeCount; e++) expect(mesh.halfEdgeEdges[mesh.edgeHalfEdges[e]!]).toBe(e);
  for (let v = 0; v < mesh.vertexCount; v++) {
    expect(mesh.cornerVertices[mesh.vertexHalfEdges[v]!]).toBe(v);
    expect(mesh.vertexPoints[v]).toBe(v);
  }
}
