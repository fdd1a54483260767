import { describe, expect, it } from 'vitest';
import { computeCurvature } from '../../src/fields/index.js';
import { buildMesh, computeEdgeLengths } from '../../src/mesh/index.js';
import { snapLoop } from '../../src/regions/snap-loop.js';
import { tubeMesh } from './surfaces.js';

describe('snapLoop', () => {
  const mesh = buildMesh(tubeMesh(12, 20, 10, () => 1));
  const costs = {
    edgeLengths: computeEdgeLengths(mesh),
    edgeConcavity: computeCurvature(mesh).edgeConcavity,
  };
  const faces = Array.from({ length: mesh.faceCount }, (_, f) => f);
  const heightOf = (v: number) => mesh.points[3 * mesh.vertexPoints[v]! + 1]!;

  it('takes a whole ring of a tube though the field is tilted', () => {
    const values = Float64Array.from({ length: mesh.vertexCount }, (_, v) => {
      const x = mesh.points[3 * mesh.vertexPoints[v]!]!;
      return heightOf(v) - 5 + 0.3 * x;
    });
    const inside = new Set(snapLoop(mesh, faces, values, 1, costs));
    const rows = new Map<number, number>();
    for (const f of inside) rows.set(Math.floor(f / 12), (rows.get(Math.floor(f / 12)) ?? 0) + 1);
    expect([...rows.values()].every((count) => count === 12)).toBe(true);
    expect(rows.size).toBe(10);
  });

  it('runs in a groove when there is one in reach', () => {
    const grooved = buildMesh(tubeMesh(12, 40, 10, (t) => 1 - 0.25 * Math.exp(-(((t - 0.55) / 0.02) ** 2))));
    const inputs = {
      edgeLengths: computeEdgeLengths(grooved),
      edgeConcavity: computeCurvature(grooved).edgeConcavity,
    };
    const all = Array.from({ length: grooved.faceCount }, (_, f) => f);
    const values = Float64Array.from(
      { length: grooved.vertexCount },
      (_, v) => grooved.points[3 * grooved.vertexPoints[v]! + 1]! - 5,
    );
    const inside = snapLoop(grooved, all, values, 1, inputs);
    expect(inside.length).toBe(12 * 18);
  });

  it('follows the field where the band leaves no choice', () => {
    const values = Float64Array.from({ length: mesh.vertexCount }, (_, v) => heightOf(v) - 5.1);
    expect(snapLoop(mesh, faces, values, 0, costs)).toHaveLength(12 * 10);
  });
});
