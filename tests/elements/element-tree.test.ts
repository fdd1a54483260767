import fc from 'fast-check';
import { Matrix, solve } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { ElementTree } from '../../src/elements/element-tree.js';
import type { FaceElements, MirroredElements } from '../../src/elements/index.js';
import type { SolvingGround } from '../../src/elements/solving-ground.js';
import { openGrounds } from '../../src/elements/solving-ground.js';
import { findMirror } from '../../src/fields/index.js';
import type { Mesh } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { cubeSphere, gridPatch, makeMarionette, seededRandom } from '../../src/testing/index.js';

/** Springs of random stiffness round every quad, those of mirror images alike, and a weak one to the ground. */
function springs(mesh: Mesh, seed: number, mirror?: MirroredElements): FaceElements {
  const random = seededRandom(seed);
  const stiffness = Float64Array.from({ length: mesh.edgeCount }, () => random.between(0.1, 2));
  for (let e = 0; e < mesh.edgeCount; e++) {
    const other = mirror?.edgePartners[e] ?? -1;
    if (other > e) stiffness[other] = stiffness[e]!;
  }
  const places = mesh.cornerVertices.slice();
  const forms = new Float64Array(10 * mesh.faceCount);
  for (let f = 0; f < mesh.faceCount; f++) {
    const add = (i: number, j: number, value: number) => {
      forms[10 * f + (Math.max(i, j) * (Math.max(i, j) + 1)) / 2 + Math.min(i, j)]! += value;
    };
    for (let i = 0; i < 4; i++) {
      const k = stiffness[mesh.halfEdgeEdges[4 * f + i]!]!;
      const j = (i + 1) % 4;
      add(i, i, k + 0.01);
      add(j, j, k);
      add(i, j, -k);
    }
  }
  return {
    faceOffsets: Int32Array.from({ length: mesh.faceCount + 1 }, (_, f) => f),
    elementSize: 4,
    sizes: new Uint8Array(mesh.faceCount).fill(4),
    places,
    signs: new Int8Array(places.length).fill(1),
    forms,
    unknownCount: mesh.vertexCount,
  };
}

/** The same by a dense matrix. */
function solveDensely(elements: FaceElements, rights: Float64Array, isFree: Uint8Array): number[] {
  const free = [...isFree.keys()].filter((v) => isFree[v]);
  const numbers = new Map(free.map((v, i) => [v, i]));
  const matrix = Matrix.zeros(free.length, free.length);
  for (let e = 0; e < elements.sizes.length; e++)
    for (let i = 0; i < 4; i++)
      for (let j = 0; j < 4; j++) {
        const [row, column] = [i, j].map((k) => numbers.get(elements.places[4 * e + k]!));
        if (row === undefined || column === undefined) continue;
        const at = 10 * e + (Math.max(i, j) * (Math.max(i, j) + 1)) / 2 + Math.min(i, j);
        matrix.set(row, column, matrix.get(row, column) + elements.forms[at]!);
      }
  const x = solve(matrix, Matrix.columnVector(free.map((v) => rights[v]!))).to1DArray();
  return [...isFree.keys()].map((v) => (isFree[v] ? x[numbers.get(v)!]! : 0));
}

const holdAtRandom = (count: number, seed: number, share: number): Uint8Array => {
  const random = seededRandom(seed);
  return Uint8Array.from({ length: count }, () => Number(random.next() >= share));
};

describe('ElementTree', () => {
  it('agrees with a dense solve, whatever is held', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 7 }),
        fc.nat(1000),
        fc.double({ min: 0, max: 0.6 }),
        (n, seed, share) => {
          const mesh = buildMesh(gridPatch(n, n + 3));
          const elements = springs(mesh, seed);
          const random = seededRandom(seed + 1);
          const rights = Float64Array.from({ length: mesh.vertexCount }, () => random.between(-1, 1));
          const { whole } = openGrounds(mesh);
          const tree = new ElementTree(elements, whole, rights);
          for (let k = 0; k < 4; k++) {
            const isFree = holdAtRandom(mesh.vertexCount, seed + 7 * k, share);
            tree.solve(whole.tree.faces, isFree);
            solveDensely(elements, rights, isFree).forEach((value, v) => {
              if (isFree[v]) expect(Math.abs(tree.values[tree.ranks[v]!]! - value)).toBeLessThan(1e-9);
            });
          }
        },
      ),
      { numRuns: 40 },
    );
  });

  it('gives the same bits whatever was asked before', () => {
    const mesh = buildMesh(cubeSphere({ n: 12 }));
    const elements = springs(mesh, 3);
    const rights = new Float64Array(mesh.vertexCount).fill(1);
    const solveAfter = (seeds: readonly number[]) => {
      const { whole } = openGrounds(mesh);
      const tree = new ElementTree(elements, whole, rights);
      let isFree: Uint8Array = new Uint8Array(0);
      for (const seed of seeds) {
        isFree = holdAtRandom(mesh.vertexCount, seed, 0.02 * (seed % 5));
        tree.solve(whole.tree.faces, isFree);
      }
      return Array.from(isFree, (is, v) => (is ? tree.values[tree.ranks[v]!] : undefined));
    };
    const alone = solveAfter([9]);
    for (const before of [
      [1, 2, 3],
      [9, 4, 5, 6, 7, 8],
      [14, 19, 24],
    ])
      expect(solveAfter([...before, 4, 9])).toEqual(alone);
  });

  it('solves in one half what is mirrored', () => {
    const mesh = buildMesh(makeMarionette({ faces: 1500, buttons: 0 }).mesh);
    const mirror = findMirror(mesh)!;
    const elements = springs(mesh, 5, mirror);
    const rights = new Float64Array(mesh.vertexCount).fill(1);
    const grounds = openGrounds(mesh, mirror);
    const { half, whole } = grounds;
    expect(2 * half!.tree.faces.length).toBe(mesh.faceCount);
    const isFree = holdAtRandom(mesh.vertexCount, 2, 0.05);
    for (let v = 0; v < mesh.vertexCount; v++) isFree[mirror.vertexPartners[v]!] = isFree[v]!;
    const solveOn = (ground: SolvingGround) => {
      const tree = new ElementTree(elements, ground, rights);
      tree.solve(ground.tree.faces, isFree);
      return tree;
    };
    const [folded, plain] = [solveOn(half!), solveOn(whole)];
    for (let v = 0; v < mesh.vertexCount; v++)
      if (isFree[v])
        expect(
          folded.values[folded.ranks[half!.vertexStandIns[v]!]!]! / plain.values[plain.ranks[v]!]!,
        ).toBeCloseTo(1, 9);
  });

  it('raises the diagonal where nothing is held and rounding eats the last pivot', () => {
    const mesh = buildMesh(cubeSphere({ n: 3 }));
    const elements = springs(mesh, 1);
    // Without a spring to the ground the matrix is singular.
    const forms = elements.forms.map((value, k) => ([0, 2, 5, 9].includes(k % 10) ? value - 0.01 : value));
    const { whole } = openGrounds(mesh);
    const tree = new ElementTree({ ...elements, forms }, whole, new Float64Array(mesh.vertexCount));
    tree.solve(whole.tree.faces, new Uint8Array(mesh.vertexCount).fill(1));
    for (const value of tree.values) expect(value).toBe(0);
  });
});
