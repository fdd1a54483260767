import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Mesh } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { decimate } from '../../src/regions/decimate.js';
import { buildTriangleSurface } from '../../src/regions/triangle-surface.js';
import { buildWorkSurface } from '../../src/regions/work-surface.js';
import { makeMarionette } from '../../src/testing/index.js';
import { gridSurface, tubeMesh } from './surfaces.js';

function countEdges(triangles: Int32Array, vertexCount: number) {
  const uses = new Map<number, number>();
  for (let t = 0; t < triangles.length; t += 3)
    for (let k = 0; k < 3; k++) {
      const a = triangles[t + k]!;
      const b = triangles[t + ((k + 1) % 3)]!;
      const key = Math.min(a, b) * vertexCount + Math.max(a, b);
      uses.set(key, (uses.get(key) ?? 0) + 1);
    }
  const border = [...uses.values()].filter((n) => n === 1).length;
  return { edges: uses.size, border, isManifold: [...uses.values()].every((n) => n <= 2) };
}

const euler = (triangles: Int32Array, vertexCount: number) =>
  vertexCount - countEdges(triangles, vertexCount).edges + triangles.length / 3;

describe('decimate', () => {
  const surface = gridSurface(40);

  it('keeps a square a disk of the same area and outline', () => {
    const { positions, triangles, representatives } = decimate(surface.positions, surface.triangles, 150);
    const coarse = buildTriangleSurface(positions, triangles);
    expect(coarse.vertexCount).toBeLessThan(400);
    expect(euler(triangles, coarse.vertexCount)).toBe(1);
    expect(countEdges(triangles, coarse.vertexCount).isManifold).toBe(true);
    expect(coarse.area).toBeGreaterThan(0.97);
    expect(coarse.area).toBeLessThanOrEqual(1 + 1e-9);
    expect(new Set(representatives).size).toBe(coarse.vertexCount);
  });

  it('keeps the topology whatever the target', () => {
    fc.assert(
      fc.property(fc.integer({ min: 5, max: 1500 }), (target) => {
        const { positions, triangles } = decimate(surface.positions, surface.triangles, target);
        expect(euler(triangles, positions.length / 3)).toBe(1);
      }),
      { numRuns: 8 },
    );
  });
});

/** Greatest difference between a field at the mesh's vertices and their heights. */
function worstError(mesh: Mesh, field: Float64Array): number {
  let worst = 0;
  for (let v = 0; v < mesh.vertexCount; v++)
    worst = Math.max(worst, Math.abs(field[v]! - mesh.points[3 * mesh.vertexPoints[v]! + 1]!));
  return worst;
}

describe('buildWorkSurface', () => {
  it('splits a coarse mesh without moving anything, and interpolates linear fields exactly', () => {
    const mesh = buildMesh(tubeMesh(8, 6, 3, () => 1));
    const faces = Int32Array.from({ length: mesh.faceCount }, (_, f) => f);
    const work = buildWorkSurface(mesh, faces, { leastTriangles: 5000, mostVertices: 8000 });
    expect(work.triangleCount).toBeGreaterThanOrEqual(5000);
    const heights = Float64Array.from({ length: work.vertexCount }, (_, v) => work.positions[3 * v + 1]!);
    const out = new Float64Array(mesh.vertexCount);
    work.interpolate(heights, out);
    expect(worstError(mesh, out)).toBeLessThan(1e-12);
  });

  it('brings a dense mesh to its bound and keeps it closed, with fields carried back within a small share of its size', () => {
    const mesh = buildMesh(makeMarionette({ faces: 9000 }).mesh);
    const faces = Int32Array.from({ length: mesh.faceCount }, (_, f) => f);
    const work = buildWorkSurface(mesh, faces, { leastTriangles: 5000, mostVertices: 4000 });
    expect(work.vertexCount).toBeLessThan(6500);
    expect(euler(work.triangles, work.vertexCount)).toBe(2);
    const heights = Float64Array.from({ length: work.vertexCount }, (_, v) => work.positions[3 * v + 1]!);
    const out = new Float64Array(mesh.vertexCount);
    work.interpolate(heights, out);
    expect(worstError(mesh, out)).toBeLessThan(0.02 * 1.8);
  });
});
