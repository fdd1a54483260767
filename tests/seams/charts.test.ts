import { describe, expect, it } from 'vitest';
import type { Mesh } from '../../src/mesh/index.js';
import {
  buildMesh,
  computeCornerAngles,
  computeEdgeLengths,
  cutMesh,
  measureChartTopology,
  openMesh,
} from '../../src/mesh/index.js';
import { connectCharts, cutHandles, shellGenera } from '../../src/seams/index.js';
import { annulus, bracket, cube, cylinder, holedBlock, torus, uvSphere } from '../../src/testing/index.js';

const open = (mesh: Mesh, terminals: number[] = []): Uint8Array => {
  const costs = computeEdgeLengths(mesh);
  const isSeam = new Uint8Array(mesh.edgeCount);
  for (const e of cutHandles(mesh, costs)) isSeam[e] = 1;
  const ground = { mesh, mirror: undefined, edgeCosts: costs, cornerAngles: computeCornerAngles(mesh) };
  for (const path of connectCharts(ground, isSeam, { terminals })) {
    for (const e of path.edges) isSeam[e] = 1;
  }
  return isSeam;
};
const seamCount = (isSeam: Uint8Array) => isSeam.reduce((sum, x) => sum + x, 0);

describe('opening shells to disks', () => {
  it.each([
    ['a sphere', uvSphere(), 0],
    ['a cube', cube({ n: 3 }), 0],
    ['a closed cylinder', cylinder({}), 0],
    ['an annulus', annulus(), 0],
    ['a torus', torus(), 1],
    ['a block with two holes', holedBlock(2), 2],
    ['a bracket', bracket(), undefined],
  ])('opens %s to one disk', (_, input, genus) => {
    const mesh = buildMesh(input);
    if (genus !== undefined) expect(shellGenera(mesh)[0]).toBe(genus);
    const charts = measureChartTopology(cutMesh(mesh, open(mesh)));
    expect(charts).toHaveLength(1);
    expect(charts[0]).toMatchObject({ isDisk: true, eulerCharacteristic: 1, borderLoops: 1 });
  });

  it('cuts a torus along loops that leave V − E = 1 − 2g on the cut graph', () => {
    // Standard topology: a cut graph of a closed surface of genus g has V − E = 1 − 2g.
    const mesh = buildMesh(torus());
    const isCut = new Uint8Array(mesh.edgeCount);
    for (const e of cutHandles(mesh, computeEdgeLengths(mesh))) isCut[e] = 1;
    const vertices = new Set<number>();
    let edges = 0;
    for (let h = 0; h < mesh.cornerCount; h++) {
      const e = mesh.halfEdgeEdges[h]!;
      if (!isCut[e]) continue;
      if (mesh.edgeHalfEdges[e] === h) edges++;
      vertices.add(mesh.cornerVertices[h]!);
      vertices.add(mesh.cornerVertices[mesh.next[h]!]!);
    }
    expect(vertices.size - edges).toBe(-1);
  });

  it('joins the two rims of an annulus by the shortest line across', () => {
    const mesh = buildMesh(annulus({ rows: 3 }));
    expect(seamCount(open(mesh))).toBe(3);
  });

  it('reaches every terminal', () => {
    const mesh = buildMesh(uvSphere({ segments: 16, rows: 8 }));
    const terminals = [0, Math.floor(mesh.vertexCount / 2), mesh.vertexCount - 1];
    const isSeam = open(mesh, terminals);
    const opened = openMesh(mesh, isSeam).mesh;
    const onBorder = new Set<number>();
    for (let h = 0; h < mesh.cornerCount; h++) if (opened.twin[h]! < 0) onBorder.add(mesh.cornerVertices[h]!);
    for (const v of terminals) expect(onBorder.has(v)).toBe(true);
    expect(measureChartTopology(cutMesh(mesh, isSeam))[0]!.isDisk).toBe(true);
  });
});
