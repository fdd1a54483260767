import { createRequire } from 'node:module';
import { describe, expect, it } from 'vitest';
import type { MeshInput } from '../../src/mesh/index.js';
import { buildMesh, cutMesh, measureChartTopology } from '../../src/mesh/index.js';

interface Triangles {
  readonly positions: readonly (readonly number[])[];
  readonly cells: readonly (readonly number[])[];
}
const load = (name: string) => createRequire(import.meta.url)(name) as Triangles;
const asInput = ({ positions, cells }: Triangles): MeshInput => ({
  points: positions.flat(),
  faceVertexCounts: cells.map((cell) => cell.length),
  faceVertexIndices: cells.flat(),
});
const topologyOf = (input: MeshInput, weldTolerance?: number) => {
  const mesh = buildMesh(input, weldTolerance === undefined ? {} : { weldTolerance });
  return { mesh, charts: measureChartTopology(cutMesh(mesh, new Uint8Array(mesh.edgeCount))) };
};

/** Counts by sets of strings, with nothing of the library: points by their coordinates, edges by their ends. */
function countPlainly({ positions, cells }: Triangles): { vertices: number; edges: number; borders: number } {
  const name = (p: number) => positions[p]!.join();
  const sides = new Map<string, number>();
  for (const cell of cells)
    cell.forEach((p, k) => {
      const key = [name(p), name(cell[(k + 1) % cell.length]!)].sort().join(' ');
      sides.set(key, (sides.get(key) ?? 0) + 1);
    });
  return {
    vertices: new Set(cells.flat().map(name)).size,
    edges: sides.size,
    borders: [...sides.values()].filter((count) => count === 1).length,
  };
}

describe('the Stanford bunny (npm package bunny 1.0.1, public domain, after the Stanford 3D Scanning Repository)', () => {
  const bunny = load('bunny');

  it('is one closed sphere, as plain counting says', () => {
    const { mesh, charts } = topologyOf(asInput(bunny));
    const plain = countPlainly(bunny);
    expect([mesh.vertexCount, mesh.edgeCount, mesh.faceCount]).toEqual([
      plain.vertices,
      plain.edges,
      bunny.cells.length,
    ]);
    expect([mesh.vertexCount, mesh.edgeCount, mesh.faceCount]).toEqual([1839, 5511, 3674]);
    expect(charts.map(({ eulerCharacteristic, borderLoops }) => [eulerCharacteristic, borderLoops])).toEqual([
      [2, 0],
    ]);
    expect(mesh.repairs).toEqual([]);
  });
});

describe('the Utah teapot (npm package teapot 1.0.0, public domain, M. Newell 1975)', () => {
  const teapot = load('teapot');

  it('comes as 32 patches, the published count, when nothing is welded', () => {
    const { mesh, charts } = topologyOf(asInput(teapot), 0);
    expect(mesh.shellCount).toBe(32);
    expect(charts.every(({ isDisk }) => isDisk)).toBe(true);
  });

  it('welds into body, lid, handle and spout: two cups and two tubes', () => {
    const { mesh, charts } = topologyOf(asInput(teapot));
    const plain = countPlainly(teapot);
    expect(mesh.edgeCount).toBe(plain.edges);
    expect(mesh.twin.filter((t) => t < 0).length).toBe(plain.borders);
    // A point at which parts touch counts once when counted plainly, once per part in the topology.
    const touching = mesh.repairs.find(({ kind }) => kind === 'pinched-vertex')!.elements.length;
    expect(mesh.vertexCount).toBe(plain.vertices + touching / 2);
    expect(charts.map(({ eulerCharacteristic, borderLoops }) => [eulerCharacteristic, borderLoops])).toEqual([
      [1, 1],
      [0, 2],
      [0, 2],
      [1, 1],
    ]);
  });
});
