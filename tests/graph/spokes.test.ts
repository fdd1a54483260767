import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildSpokes, turnAngle } from '../../src/graph/index.js';
import type { Mesh } from '../../src/mesh/index.js';
import {
  buildMesh,
  computeCornerAngles,
  edgeVertices,
  isBorderVertex,
  outgoingHalfEdges,
  vertexEdges,
} from '../../src/mesh/index.js';
import { gridPatch, icoSphere, meshArbitraries } from '../../src/testing/index.js';

const spokesOf = (mesh: Mesh) => buildSpokes(mesh, computeCornerAngles(mesh));
const faceSize = (mesh: Mesh, h: number) => {
  const f = mesh.cornerFaces[h]!;
  return mesh.faceOffsets[f + 1]! - mesh.faceOffsets[f]!;
};

describe('spokes', () => {
  it('are the edges of every vertex, each with its other end, on any mesh', () => {
    fc.assert(
      fc.property(meshArbitraries(fc).any, (value) => {
        const mesh = buildMesh(value.mesh);
        const spokes = spokesOf(mesh);
        expect(spokes.offsets[mesh.vertexCount]).toBe(2 * mesh.edgeCount);
        for (let v = 0; v < mesh.vertexCount; v++) {
          const own = Array.from(
            { length: spokes.offsets[v + 1]! - spokes.offsets[v]! },
            (_, i) => spokes.offsets[v]! + i,
          );
          expect(own.map((s) => spokes.edges[s]!).sort((a, b) => a - b)).toEqual(
            [...vertexEdges(mesh, v)].sort((a, b) => a - b),
          );
          expect(spokes.isBorder[v]).toBe(isBorderVertex(mesh, v) ? 1 : 0);
          for (const s of own) {
            const [a, b] = edgeVertices(mesh, spokes.edges[s]!);
            expect(spokes.heads[s]).toBe(a === v ? b : a);
            const other = spokes.opposites[s]!;
            expect([spokes.opposites[other], spokes.edges[other], spokes.heads[other]]).toEqual([
              s,
              spokes.edges[s],
              v,
            ]);
            expect(turnAngle(spokes, other, s)).toBeCloseTo(Math.PI, 9);
          }
        }
      }),
      { numRuns: 60 },
    );
  });

  it('leave at the corners’ angles: as they are on borders, scaled to a full turn within', () => {
    fc.assert(
      fc.property(meshArbitraries(fc).manifold, (value) => {
        const mesh = buildMesh(value.mesh);
        const corners = computeCornerAngles(mesh);
        const spokes = buildSpokes(mesh, corners);
        for (let v = 0; v < mesh.vertexCount; v++) {
          const outgoing = outgoingHalfEdges(mesh, v);
          const isBorder = isBorderVertex(mesh, v);
          const isRegular =
            !isBorder && outgoing.length === 4 && outgoing.every((h) => faceSize(mesh, h) === 4);
          const total = outgoing.reduce((sum, h) => sum + corners[h]!, 0);
          let angle = 0;
          for (const [i, h] of outgoing.entries()) {
            expect(spokes.angles[spokes.offsets[v]! + i]).toBeCloseTo(angle, 9);
            angle += isRegular ? Math.PI / 2 : corners[h]! * (isBorder ? 1 : (2 * Math.PI) / total);
          }
          if (isBorder) expect(spokes.angles[spokes.offsets[v + 1]! - 1]).toBeCloseTo(angle, 9);
          else expect(angle).toBeCloseTo(2 * Math.PI, 9);
        }
      }),
      { numRuns: 40 },
    );
  });

  /** Turns at a vertex, arriving over each of its edges and leaving by each other one. */
  const turnsAt = (mesh: Mesh, v: number) => {
    const spokes = spokesOf(mesh);
    const turns: number[] = [];
    for (let s = spokes.offsets[v]!; s < spokes.offsets[v + 1]!; s++)
      for (let t = spokes.offsets[v]!; t < spokes.offsets[v + 1]!; t++)
        if (s !== t) turns.push((180 / Math.PI) * turnAngle(spokes, spokes.opposites[s]!, t));
    return turns.map((x) => Math.round(x * 1e6) / 1e6).sort((a, b) => a - b);
  };

  it('go straight on across a vertex of four quads, and along a straight border', () => {
    const mesh = buildMesh(gridPatch(2));
    const at = (x: number, y: number) =>
      Array.from({ length: mesh.vertexCount }, (_, v) => v).find((v) => {
        const p = 3 * mesh.vertexPoints[v]!;
        return mesh.points[p] === x && mesh.points[p + 1] === y;
      })!;
    const middle = (turns: readonly number[]) => [...new Set(turns)];
    expect(middle(turnsAt(mesh, at(1, 1)))).toEqual([0, 90]);
    expect(turnsAt(mesh, at(1, 0))).toEqual([0, 0, 90, 90, 90, 90]);
    expect(turnsAt(mesh, at(0, 0))).toEqual([90, 90]);
  });

  it('count five equal sectors as a fifth of a turn each, the short way round', () => {
    const mesh = buildMesh(icoSphere({ level: 0 }));
    const turns = turnsAt(mesh, 0);
    expect(turns.filter((x) => x === 36)).toHaveLength(10);
    expect(turns.filter((x) => x === 108)).toHaveLength(10);
  });
});
