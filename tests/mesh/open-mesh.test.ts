import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Mesh } from '../../src/mesh/index.js';
import {
  buildMesh,
  cutMesh,
  findBorderLoops,
  headVertex,
  isBorderVertex,
  listBorder,
  measureChartTopology,
  openMesh,
  seamMask,
} from '../../src/mesh/index.js';
import { anySeamSets, cube, cylinder, meshArbitraries } from '../../src/testing/index.js';

const meshes = meshArbitraries(fc);
const RUNS = process.env.SEAMWRIGHT_LONG ? 1000 : 60;
const withSeams = meshes.any.chain((value) => anySeamSets(fc, value.mesh).map((set) => ({ value, set })));

const tailPoint = (mesh: Mesh, h: number) => mesh.vertexPoints[mesh.cornerVertices[h]!]!;

describe('openMesh', () => {
  it('takes a cube apart into six squares', () => {
    const box = buildMesh(cube());
    const { mesh, edges } = openMesh(box, new Uint8Array(12).fill(1));
    expect([mesh.vertexCount, mesh.edgeCount, mesh.shellCount, mesh.faceCount]).toEqual([24, 24, 6, 6]);
    expect([...mesh.twin]).toEqual(new Array(24).fill(-1));
    expect([...edges].sort((a, b) => a - b)).toEqual(Array.from({ length: 24 }, (_, k) => k >> 1));
    expect(findBorderLoops(mesh).map((loop) => loop.length)).toEqual([4, 4, 4, 4, 4, 4]);
  });

  it('leaves a mesh without seams as it is', () => {
    const tube = buildMesh(cylinder({ segments: 5, rows: 3 }));
    const { mesh, edges } = openMesh(tube, new Uint8Array(tube.edgeCount));
    expect(mesh.twin).toEqual(tube.twin);
    expect([mesh.vertexCount, mesh.edgeCount]).toEqual([tube.vertexCount, tube.edgeCount]);
    for (let h = 0; h < tube.cornerCount; h++)
      expect(edges[mesh.halfEdgeEdges[h]!]).toBe(tube.halfEdgeEdges[h]);
  });

  it('is a mesh whose borders are the seams and whose shells are the charts', () => {
    fc.assert(
      fc.property(withSeams, ({ value, set }) => {
        const uncut = buildMesh(value.mesh);
        const isSeam = seamMask(uncut, set.seams);
        const cut = cutMesh(uncut, isSeam);
        const { mesh, edges } = openMesh(uncut, isSeam, cut);
        expect(mesh.faceShells).toEqual(cut.faceCharts);
        expect(edges).toHaveLength(mesh.edgeCount);
        for (let h = 0; h < mesh.cornerCount; h++) {
          const isCut = uncut.twin[h]! < 0 || isSeam[uncut.halfEdgeEdges[h]!] === 1;
          expect(mesh.twin[h]).toBe(isCut ? -1 : uncut.twin[h]);
          expect(edges[mesh.halfEdgeEdges[h]!]).toBe(uncut.halfEdgeEdges[h]);
          expect(tailPoint(mesh, h)).toBe(tailPoint(uncut, h));
          if (!isCut) expect(mesh.halfEdgeEdges[mesh.twin[h]!]).toBe(mesh.halfEdgeEdges[h]);
          if (isCut) expect(isBorderVertex(mesh, mesh.cornerVertices[h]!)).toBe(true);
        }
        for (let e = 0; e < mesh.edgeCount; e++) expect(mesh.halfEdgeEdges[mesh.edgeHalfEdges[e]!]).toBe(e);
        for (let v = 0; v < mesh.vertexCount; v++)
          expect(mesh.cornerVertices[mesh.vertexHalfEdges[v]!]).toBe(v);
      }),
      { numRuns: RUNS },
    );
  });
});

describe('findBorderLoops', () => {
  it('walks every border half-edge once, head to tail, as many loops as the charts have', () => {
    fc.assert(
      fc.property(withSeams, ({ value, set }) => {
        const uncut = buildMesh(value.mesh);
        const isSeam = seamMask(uncut, set.seams);
        const { mesh } = openMesh(uncut, isSeam);
        const loops = findBorderLoops(mesh);
        const expected = measureChartTopology(cutMesh(uncut, isSeam));
        expect(loops).toHaveLength(expected.reduce((sum, { borderLoops }) => sum + borderLoops, 0));
        const walked = loops.flatMap((loop) => [...loop]).sort((a, b) => a - b);
        expect(walked).toEqual(Array.from(mesh.twin.keys()).filter((h) => mesh.twin[h]! < 0));
        for (const loop of loops)
          loop.forEach((h, k) => {
            expect(mesh.cornerVertices[loop[(k + 1) % loop.length]!]).toBe(headVertex(mesh, h));
          });
        const firsts = loops.map((loop) => Math.min(...loop));
        expect(loops.map((loop) => loop[0])).toEqual(firsts);
        expect(firsts).toEqual([...firsts].sort((a, b) => a - b));
      }),
      { numRuns: RUNS },
    );
  });
});

describe('listBorder', () => {
  const box = buildMesh(cube());

  it('goes round some faces', () => {
    const none = new Uint8Array(12);
    expect([...listBorder(box, none, Int32Array.of(2))]).toEqual([8, 9, 10, 11]);
    expect(listBorder(box, none, Int32Array.of(0, 1, 2, 3, 4, 5))).toHaveLength(0);
    // Two squares side by side have six sides left, two that lie opposite eight.
    const shared = box.cornerFaces[box.twin[0]!]!;
    const pair = Int32Array.of(0, shared).sort();
    const border = listBorder(box, none, pair);
    expect(border).toHaveLength(6);
    expect(border.includes(0) || border.includes(box.twin[0]!)).toBe(false);
  });

  it('lists both sides of a cut between them', () => {
    const isSeam = new Uint8Array(12);
    isSeam[box.halfEdgeEdges[0]!] = 1;
    const border = listBorder(box, isSeam, Int32Array.of(0, 1, 2, 3, 4, 5));
    expect([...border].sort((a, b) => a - b)).toEqual([0, box.twin[0]!].sort((a, b) => a - b));
  });
});
