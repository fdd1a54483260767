import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { FaceTree } from '../../src/elements/face-tree.js';
import { splitFaces } from '../../src/elements/face-tree.js';
import type { Mesh } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import {
  cubeSphere,
  cylinder,
  gridPatch,
  joinMeshes,
  makeMarionette,
  translateMesh,
} from '../../src/testing/index.js';

const allFaces = (mesh: Mesh) => Int32Array.from({ length: mesh.faceCount }, (_, f) => f);

/** Sides between the two parts of the root. */
function countCutSides(mesh: Mesh, tree: FaceTree): number {
  const root = tree.nodeCount - 1;
  const [left] = tree.children.map((list) => list[root]!);
  const isLeft = new Set(tree.faces.subarray(tree.starts[left!]!, tree.ends[left!]!));
  let count = 0;
  for (let h = 0; h < mesh.cornerCount; h++) {
    const t = mesh.twin[h]!;
    if (t > h && isLeft.has(mesh.cornerFaces[h]!) !== isLeft.has(mesh.cornerFaces[t]!)) count++;
  }
  return count;
}

describe('splitFaces', () => {
  it('puts every face in one leaf, parts before wholes, no part under three tenths', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 14 }), fc.nat(100), (n, share) => {
        const mesh = buildMesh(cubeSphere({ n }));
        const faces = allFaces(mesh).filter((f) => (f * 37) % 101 <= share);
        const { nodeCount, children, starts, ends, faces: listed } = splitFaces(mesh, faces);
        expect([...listed].sort((a, b) => a - b)).toEqual([...faces]);
        let leafFaces = 0;
        for (let node = 0; node < nodeCount; node++) {
          const [left, right] = children.map((list) => list[node]!) as [number, number];
          const size = ends[node]! - starts[node]!;
          if (left < 0) {
            leafFaces += size;
            expect(size).toBeLessThanOrEqual(16);
            continue;
          }
          expect(Math.max(left, right)).toBeLessThan(node);
          expect([starts[left], ends[left], ends[right]]).toEqual([starts[node], starts[right], ends[node]]);
          for (const part of [left, right])
            expect((ends[part]! - starts[part]!) / size).toBeGreaterThanOrEqual(0.3 - 1 / size);
        }
        expect(leafFaces).toBe(faces.length);
        expect([starts[nodeCount - 1], ends[nodeCount - 1]]).toEqual([0, faces.length]);
      }),
      { numRuns: 40 },
    );
  });

  it('cuts a tube across, a strip across, and between shells not at all', () => {
    const tube = buildMesh(cylinder({ segments: 12, rows: 40, ends: 'open' }));
    expect(countCutSides(tube, splitFaces(tube, allFaces(tube)))).toBe(12);
    const strip = buildMesh(gridPatch(30, 4));
    expect(countCutSides(strip, splitFaces(strip, allFaces(strip)))).toBe(4);
    const shells = buildMesh(
      joinMeshes([0, 3, 6].map((x) => translateMesh(cubeSphere({ n: 3 }), [x, 0, 0]))),
    );
    expect(countCutSides(shells, splitFaces(shells, allFaces(shells)))).toBe(0);
  });

  it('parts a body at its waist or a limb, not along it', () => {
    const mesh = buildMesh(makeMarionette({ faces: 6000, buttons: 0, hasEyes: false }).mesh);
    expect(countCutSides(mesh, splitFaces(mesh, allFaces(mesh)))).toBeLessThan(Math.sqrt(mesh.faceCount));
  });

  it('takes no faces, and faces that lie all in one place', () => {
    const mesh = buildMesh(cubeSphere({ n: 4 }));
    expect(splitFaces(mesh, new Int32Array(0)).nodeCount).toBe(1);
    const flat = buildMesh(gridPatch(8, 8));
    expect(splitFaces(flat, allFaces(flat)).faces).toHaveLength(64);
  });
});
