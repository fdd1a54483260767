import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Mesh } from '../../src/mesh/index.js';
import {
  buildMesh,
  findEdgeLoop,
  findEdgeRing,
  headVertex,
  straightAhead,
  straightBehind,
  tailVertex,
  vertexEdges,
} from '../../src/mesh/index.js';
import {
  cube,
  gridPatch,
  makeMarionette,
  meshArbitraries,
  prism,
  torus,
  uvSphere,
} from '../../src/testing/index.js';

const meshes = meshArbitraries(fc);
const RUNS = process.env.SEAMWRIGHT_LONG ? 1000 : 50;

const between = (mesh: Mesh, isWanted: (a: readonly number[], b: readonly number[]) => boolean): number => {
  const at = (v: number) => [0, 1, 2].map((k) => mesh.points[3 * mesh.vertexPoints[v]! + k]!);
  for (let h = 0; h < mesh.cornerCount; h++)
    if (isWanted(at(tailVertex(mesh, h)), at(headVertex(mesh, h)))) return h;
  throw new Error('no such half-edge');
};

describe('edge loops', () => {
  it('go round a torus both ways', () => {
    const mesh = buildMesh(torus({ p: 9, q: 7 }));
    const lengths = new Set<number>();
    for (let h = 0; h < mesh.cornerCount; h++) {
      const { halfEdges, isClosed } = findEdgeLoop(mesh, h);
      expect(isClosed).toBe(true);
      expect(halfEdges[0]).toBe(h);
      lengths.add(halfEdges.length);
    }
    expect([...lengths].sort()).toEqual([7, 9]);
  });

  it('cross a grid from border to border, and follow the border from corner to corner', () => {
    const mesh = buildMesh(gridPatch(5, 3));
    const inner = findEdgeLoop(
      mesh,
      between(mesh, (a, b) => a[1] === 1 && b[1] === 1),
    );
    expect([inner.halfEdges.length, inner.isClosed]).toEqual([5, false]);
    const border = findEdgeLoop(
      mesh,
      between(mesh, (a, b) => a[1] === 0 && b[1] === 0 && a[0] === 2),
    );
    expect([border.halfEdges.length, border.isClosed]).toEqual([5, false]);
  });

  it('stop at poles', () => {
    const box = buildMesh(cube());
    expect(findEdgeLoop(box, 0)).toEqual({ halfEdges: [0], isClosed: false });
    const sphere = buildMesh(uvSphere({ segments: 8, rows: 6 }));
    const meridian = findEdgeLoop(
      sphere,
      between(sphere, (a, b) => a[0] === 0 && b[0] === 0 && a[2]! > 0 && b[1]! > a[1]!),
    );
    expect([meridian.halfEdges.length, meridian.isClosed]).toEqual([6, false]);
  });

  it('follow the limbs of the marionette all round', () => {
    const marionette = makeMarionette({ faces: 3000 });
    const mesh = buildMesh(marionette.mesh);
    const leg = marionette.parts.findIndex(({ name, side }) => name === 'leg' && side === 'left');
    const foot = marionette.parts.findIndex(({ name, side }) => name === 'foot' && side === 'left');
    // Every edge between leg and foot lies on one closed loop, the ankle.
    const ankle: number[] = [];
    for (let h = 0; h < mesh.cornerCount; h++) {
      const t = mesh.twin[h]!;
      if (
        marionette.faceParts[mesh.cornerFaces[h]!] === leg &&
        marionette.faceParts[mesh.cornerFaces[t]!] === foot
      )
        ankle.push(h);
    }
    const { halfEdges, isClosed } = findEdgeLoop(mesh, ankle[0]!);
    expect(isClosed).toBe(true);
    expect([...halfEdges].sort((a, b) => a - b)).toEqual(ankle);
  });

  it('are straight: head to tail, reversible, each edge once', () => {
    fc.assert(
      fc.property(meshes.any, fc.nat(), ({ mesh: input }, pick) => {
        const mesh = buildMesh(input);
        const start = pick % mesh.cornerCount;
        const { halfEdges, isClosed } = findEdgeLoop(mesh, start);
        expect(halfEdges).toContain(start);
        expect(new Set(halfEdges.map((h) => mesh.halfEdgeEdges[h])).size).toBe(halfEdges.length);
        halfEdges.forEach((h, i) => {
          const next = halfEdges[i + 1] ?? (isClosed ? halfEdges[0]! : -1);
          expect(straightAhead(mesh, h)).toBe(next);
          if (next < 0) return;
          expect(headVertex(mesh, h)).toBe(tailVertex(mesh, next));
          expect(straightBehind(mesh, next)).toBe(h);
          const valence = vertexEdges(mesh, headVertex(mesh, h)).length;
          expect(valence).toBe(mesh.twin[h]! < 0 ? 3 : 4);
        });
        // The other half of an inner edge gives the same loop backwards.
        const twin = mesh.twin[start]!;
        if (twin >= 0) {
          const back = findEdgeLoop(mesh, twin);
          const edges = (loop: readonly number[]) =>
            loop.map((h) => mesh.halfEdgeEdges[h]!).sort((a, b) => a - b);
          expect(back.isClosed).toBe(isClosed);
          expect(edges(back.halfEdges)).toEqual(edges(halfEdges));
        }
      }),
      { numRuns: 2 * RUNS },
    );
  });
});

describe('edge rings', () => {
  it('go round a cube and a torus', () => {
    const box = buildMesh(cube());
    for (let e = 0; e < 12; e++) {
      const { halfEdges, faces, isClosed } = findEdgeRing(box, e);
      expect([halfEdges.length, faces.length, isClosed]).toEqual([4, 4, true]);
    }
    const ring = findEdgeRing(buildMesh(torus({ p: 9, q: 7 })), 0);
    expect(ring.isClosed).toBe(true);
    expect([7, 9]).toContain(ring.halfEdges.length);
  });

  it('cross a grid and stop at faces that are no quads', () => {
    const grid = findEdgeRing(buildMesh(gridPatch(5, 3)), 0);
    expect(grid.isClosed).toBe(false);
    expect([4, 6]).toContain(grid.halfEdges.length);
    expect(grid.faces.length).toBe(grid.halfEdges.length - 1);
    const mesh = buildMesh(prism(5));
    const upright = findEdgeRing(
      mesh,
      mesh.halfEdgeEdges[between(mesh, (a, b) => a[0] === b[0] && a[2] === b[2])]!,
    );
    expect([upright.halfEdges.length, upright.isClosed]).toEqual([5, true]);
    const rim = findEdgeRing(mesh, mesh.halfEdgeEdges[between(mesh, (a, b) => a[1] === 0 && b[1] === 0)]!);
    expect([rim.halfEdges.length, rim.faces.length, rim.isClosed]).toEqual([2, 1, false]);
  });

  it('are the same from each of their edges', () => {
    fc.assert(
      fc.property(meshes.manifold, fc.nat(), ({ mesh: input }, pick) => {
        const mesh = buildMesh(input);
        const edges = (ring: readonly number[]) =>
          ring.map((h) => mesh.halfEdgeEdges[h]!).sort((a, b) => a - b);
        const { halfEdges, faces, isClosed } = findEdgeRing(mesh, pick % mesh.edgeCount);
        expect(faces.length).toBe(isClosed ? halfEdges.length : halfEdges.length - 1);
        for (const h of halfEdges) {
          const other = findEdgeRing(mesh, mesh.halfEdgeEdges[h]!);
          expect(other.isClosed).toBe(isClosed);
          expect(edges(other.halfEdges)).toEqual(edges(halfEdges));
        }
      }),
      { numRuns: RUNS },
    );
  });
});
