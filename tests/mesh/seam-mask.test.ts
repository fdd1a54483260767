import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildMesh, EdgeFinder, edgeVertices, seamMask } from '../../src/mesh/index.js';
import {
  BROKEN_MESHES,
  cube,
  explodeMesh,
  gridPatch,
  meshArbitraries,
  shuffleMesh,
} from '../../src/testing/index.js';

const meshes = meshArbitraries(fc);

describe('seamMask', () => {
  it('marks each edge by either order of its points', () => {
    fc.assert(
      fc.property(meshes.any, fc.nat(), ({ mesh: input }, pick) => {
        const mesh = buildMesh(input);
        const e = pick % mesh.edgeCount;
        const [a, b] = edgeVertices(mesh, e).map((v) => mesh.vertexPoints[v]!) as [number, number];
        const mask = seamMask(mesh, [{ edges: [[a, b]] }]);
        expect(mask.length).toBe(mesh.edgeCount);
        expect(mask[e]).toBe(1);
        expect(seamMask(mesh, [{ edges: [[b, a]] }])).toEqual(mask);
        // Edges of three faces are several in the topology, one to the caller.
        const count = mask.reduce((sum, x) => sum + x, 0);
        if (mesh.repairs.length === 0) expect(count).toBe(1);
        else expect(count).toBeGreaterThanOrEqual(1);
      }),
      { numRuns: 60 },
    );
  });

  it('finds an edge by any of its welded points', () => {
    const soup = explodeMesh(cube());
    const mesh = buildMesh(soup);
    for (let c = 0; c < 24; c++) {
      const next = c % 4 === 3 ? c - 3 : c + 1;
      expect(seamMask(mesh, [{ edges: [[c, next]] }]).reduce((sum, x) => sum + x, 0)).toBe(1);
    }
  });

  it('marks every sheet of an edge with three faces', () => {
    const { make } = BROKEN_MESHES.find(({ name }) => name === 'three faces on one edge')!;
    const mesh = buildMesh(make());
    const spine = mesh.repairs.find(({ kind }) => kind === 'non-manifold-edge')!.elements;
    expect(new EdgeFinder(mesh).find(spine[0]!, spine[1]!).length).toBe(3);
    expect(seamMask(mesh, [{ edges: [[spine[0]!, spine[1]!]] }]).reduce((sum, x) => sum + x, 0)).toBe(3);
  });

  it('rejects points that no edge joins', () => {
    const mesh = buildMesh(gridPatch(2));
    const rejected = expect.objectContaining({ code: 'HINT_INVALID' });
    expect(() => seamMask(mesh, [{ edges: [[0, 8]] }])).toThrowError(rejected);
    expect(() => seamMask(mesh, [{ edges: [[0, 0]] }])).toThrowError(rejected);
    expect(() => seamMask(mesh, [{ edges: [[0, 900]] }])).toThrowError(rejected);
    expect(() => seamMask(mesh, [{ edges: [[-1, 0]] }])).toThrowError(rejected);
    expect(seamMask(mesh, [])).toEqual(new Uint8Array(mesh.edgeCount));
  });

  it('names the same edges after a shuffle', () => {
    fc.assert(
      fc.property(meshes.manifold, fc.nat(), fc.nat(), ({ mesh: input }, seed, pick) => {
        const { mesh: shuffled, pointSources } = shuffleMesh(input, seed);
        const [mesh, other] = [buildMesh(input), buildMesh(shuffled)];
        const e = pick % other.edgeCount;
        const [a, b] = edgeVertices(other, e).map((v) => pointSources[other.vertexPoints[v]!]!) as [
          number,
          number,
        ];
        expect(seamMask(mesh, [{ edges: [[a, b]] }]).reduce((sum, x) => sum + x, 0)).toBe(1);
      }),
      { numRuns: 30 },
    );
  });
});
