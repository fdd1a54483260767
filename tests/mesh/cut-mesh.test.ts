import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CutMesh, Mesh } from '../../src/mesh/index.js';
import {
  buildMesh,
  cutMesh,
  edgeVertices,
  extractCharts,
  groupFacesByChart,
  isBorderEdge,
  isBorderVertex,
  measureChartTopology,
  seamMask,
  vertexEdges,
} from '../../src/mesh/index.js';
import {
  anySeamSets,
  cube,
  cylinder,
  diskSeamSets,
  meshArbitraries,
  torus,
  uvSphere,
} from '../../src/testing/index.js';

const meshes = meshArbitraries(fc);
const RUNS = process.env.SEAMWRIGHT_LONG ? 1000 : 60;
const withSeams = meshes.any.chain((value) => anySeamSets(fc, value.mesh).map((set) => ({ value, set })));

const cutAlong = (mesh: Mesh, isPicked: (e: number) => boolean): CutMesh =>
  cutMesh(
    mesh,
    Uint8Array.from({ length: mesh.edgeCount }, (_, e) => (isPicked(e) ? 1 : 0)),
  );

describe('a mesh without seams', () => {
  it('has its shells for charts, in their order', () => {
    fc.assert(
      fc.property(meshes.any, (value) => {
        const mesh = buildMesh(value.mesh);
        const cut = cutAlong(mesh, () => false);
        expect(cut.chartCount).toBe(mesh.shellCount);
        expect(cut.faceCharts).toEqual(mesh.faceShells);
      }),
      { numRuns: RUNS },
    );
  });
});

describe('the cube (check values, item 4)', () => {
  const mesh = buildMesh(cube());

  it('falls into 6 squares with 24 vertices when every edge is cut', () => {
    const cut = cutAlong(mesh, () => true);
    expect([cut.chartCount, cut.cutVertexCount]).toEqual([6, 24]);
    expect(measureChartTopology(cut).every(({ isDisk, edgeCount }) => isDisk && edgeCount === 4)).toBe(true);
  });

  it('unfolds along each of its 384 spanning trees: one disk, 14 vertices, perimeter 14, area 6, 11 distinct nets', () => {
    const nets = new Set<string>();
    let trees = 0;
    for (let mask = 0; mask < 1 << 12; mask++) {
      if (popCount(mask) !== 7 || !isTree(mesh, mask)) continue;
      trees++;
      const cut = cutAlong(mesh, (e) => (mask >> e) % 2 === 1);
      expect([cut.chartCount, cut.cutVertexCount]).toEqual([1, 14]);
      const [topology] = measureChartTopology(cut);
      expect(topology!.isDisk).toBe(true);
      const cells = unfoldSquares(mesh, cut.isSeam);
      expect(new Set(cells.map(String)).size).toBe(6);
      const [chart] = extractCharts(cut);
      expect(chart!.borderLoops[0]!.length).toBe(14);
      nets.add(canonicalNet(cells));
    }
    // Kirchhoff: the cube's graph has 384 spanning trees. The 11 nets: standard mathematics.
    expect(trees).toBe(384);
    expect(nets.size).toBe(11);
  });
});

const popCount = (mask: number): number => mask.toString(2).replaceAll('0', '').length;

function isTree(mesh: Mesh, mask: number): boolean {
  const parent = Array.from({ length: 8 }, (_, v) => v);
  const find = (v: number): number => (parent[v] === v ? v : find(parent[v]!));
  for (let e = 0; e < 12; e++) {
    if ((mask >> e) % 2 === 0) continue;
    const [a, b] = edgeVertices(mesh, e).map(find) as [number, number];
    if (a === b) return false;
    parent[a] = b;
  }
  return true;
}

/** Lays the six squares on a grid by rolling the cube over its uncut edges. */
function unfoldSquares(mesh: Mesh, isSeam: Uint8Array): [number, number][] {
  const turn = ([x, y]: [number, number]): [number, number] => [-y, x];
  const placed = new Map<number, { cell: [number, number]; bottom: number }>();
  // `bottom` is the half-edge on the cell's lower side, running to the right.
  placed.set(0, { cell: [0, 0], bottom: mesh.faceOffsets[0]! });
  const queue = [0];
  while (queue.length > 0) {
    const { cell, bottom } = placed.get(queue.shift()!)!;
    let h = bottom;
    let outward: [number, number] = [0, -1];
    for (let side = 0; side < 4; side++) {
      const t = mesh.twin[h]!;
      const face = mesh.cornerFaces[t]!;
      if (!isSeam[mesh.halfEdgeEdges[h]!] && !placed.has(face)) {
        // Across the lower side the neighbour's top is `t`; the other sides are that turned by quarters.
        let lower = t;
        for (let k = 0; k < (6 - side) % 4; k++) lower = mesh.next[lower]!;
        placed.set(face, { cell: [cell[0] + outward[0], cell[1] + outward[1]], bottom: lower });
        queue.push(face);
      }
      h = mesh.next[h]!;
      outward = turn(outward);
    }
  }
  return [...placed.values()].map(({ cell }) => cell);
}

function canonicalNet(cells: readonly [number, number][]): string {
  const forms: string[] = [];
  for (const mirror of [1, -1])
    for (let quarter = 0; quarter < 4; quarter++) {
      let moved = cells.map(([x, y]) => [mirror * x, y] as [number, number]);
      for (let k = 0; k < quarter; k++) moved = moved.map(([x, y]) => [-y, x]);
      const [left, low] = [Math.min(...moved.map(([x]) => x)), Math.min(...moved.map(([, y]) => y))];
      forms.push(
        moved
          .map(([x, y]) => `${x - left},${y - low}`)
          .sort()
          .join(' '),
      );
    }
  return forms.sort()[0]!;
}

describe('vertices after cutting (check values, item 2)', () => {
  it('is Σ max(1, d) within and Σ (d + 1) on borders, d seam edges at the vertex', () => {
    fc.assert(
      fc.property(withSeams, ({ value, set }) => {
        const mesh = buildMesh(value.mesh);
        const isSeam = seamMask(mesh, set.seams);
        let expected = 0;
        for (let v = 0; v < mesh.vertexCount; v++) {
          const d = vertexEdges(mesh, v).filter((e) => isSeam[e] && !isBorderEdge(mesh, e)).length;
          expected += isBorderVertex(mesh, v) ? d + 1 : Math.max(1, d);
        }
        expect(cutMesh(mesh, isSeam).cutVertexCount).toBe(expected);
      }),
      { numRuns: 2 * RUNS },
    );
  });
});

describe('Euler characteristic (check values, items 1 and 8)', () => {
  it('is 2 − 2g − b for every chart of an uncut mesh', () => {
    fc.assert(
      fc.property(meshes.manifold, ({ mesh, shells, genus, borderLoops }) => {
        const built = buildMesh(mesh);
        const charts = measureChartTopology(cutMesh(built, new Uint8Array(built.edgeCount)));
        const sum = (key: 'eulerCharacteristic' | 'borderLoops') =>
          charts.reduce((total, chart) => total + chart[key], 0);
        expect(charts.length).toBe(shells);
        expect(sum('borderLoops')).toBe(borderLoops);
        expect(sum('eulerCharacteristic')).toBe(2 * shells - 2 * genus - borderLoops);
      }),
      { numRuns: RUNS },
    );
  });

  it('a seam that opens a closed surface of genus g into one disk has V − E = 1 − 2g and is connected', () => {
    const oneDisk = meshes.closed.chain((value) =>
      diskSeamSets(fc, value.mesh)
        .map((set) => ({ value, set }))
        .filter(({ set }) => set.charts.length === 1),
    );
    fc.assert(
      fc.property(oneDisk, ({ value, set }) => {
        const mesh = buildMesh(value.mesh);
        const isSeam = seamMask(mesh, set.seams);
        const vertices = new Set<number>();
        let edges = 0;
        for (let e = 0; e < mesh.edgeCount; e++) {
          if (!isSeam[e]) continue;
          edges++;
          for (const v of edgeVertices(mesh, e)) vertices.add(v);
        }
        expect(vertices.size - edges).toBe(1 - 2 * value.genus);
        expect(measureChartTopology(cutMesh(mesh, isSeam))[0]!.isDisk).toBe(true);
      }),
      { numRuns: 30 },
    );
  });

  it.each([
    [3, 3],
    [5, 4],
    [24, 12],
  ])('a torus of %i x %i cut along p + q edges is one disk of (p + 1)(q + 1) vertices', (p, q) => {
    const mesh = buildMesh(torus({ p, q }));
    // Points are numbered ring by ring: ring 0 and the line of first points are cut.
    const isOn = (v: number) => mesh.vertexPoints[v]!;
    const cut = cutAlong(mesh, (e) => {
      const [a, b] = edgeVertices(mesh, e).map(isOn) as [number, number];
      return (a < q && b < q) || (a % q === 0 && b % q === 0);
    });
    expect(cut.isSeam.reduce((sum, x) => sum + x, 0)).toBe(p + q);
    expect([cut.chartCount, cut.cutVertexCount]).toEqual([1, (p + 1) * (q + 1)]);
    expect(measureChartTopology(cut)[0]!.isDisk).toBe(true);
  });

  it('a closed cylinder cut round both rims and lengthwise is a rectangle and two disks', () => {
    const mesh = buildMesh(cylinder({ segments: 32, rows: 3 }));
    const at = (v: number, axis: number) => mesh.points[3 * mesh.vertexPoints[v]! + axis]!;
    const cut = cutAlong(mesh, (e) => {
      const [a, b] = edgeVertices(mesh, e);
      const isRim = at(a, 1) === at(b, 1) && (at(a, 1) === 0 || at(a, 1) === 2);
      return isRim || (at(a, 0) === 0 && at(b, 0) === 0 && at(a, 2) > 0 && at(b, 2) > 0);
    });
    expect(
      measureChartTopology(cut).map(({ isDisk, faceCount, vertexCount }) => [isDisk, faceCount, vertexCount]),
    ).toEqual([
      [true, 96, 33 * 4],
      [true, 1, 32],
      [true, 1, 32],
    ]);
  });

  it('a sphere cut along one meridian edge is no disk until the edges form a tree', () => {
    const mesh = buildMesh(uvSphere({ segments: 6, rows: 4 }));
    const isDisk = (cut: CutMesh) => measureChartTopology(cut)[0]!.isDisk;
    expect(isDisk(cutAlong(mesh, () => false))).toBe(false);
    expect(isDisk(cutAlong(mesh, (e) => e === 0))).toBe(true);
    // Two edges far apart leave an annulus.
    const [a, b] = [0, mesh.edgeCount - 1];
    const shared = edgeVertices(mesh, a).some((v) => (edgeVertices(mesh, b) as number[]).includes(v));
    expect(shared).toBe(false);
    const [two] = measureChartTopology(cutAlong(mesh, (e) => e === a || e === b));
    expect([two!.borderLoops, two!.eulerCharacteristic, two!.isDisk]).toEqual([2, 0, false]);
  });
});

describe('chart surfaces', () => {
  it('cover each face and corner once, with local vertices at the mesh’s places', () => {
    fc.assert(
      fc.property(withSeams, ({ value, set }) => {
        const mesh = buildMesh(value.mesh);
        const cut = cutMesh(mesh, seamMask(mesh, set.seams));
        const charts = extractCharts(cut);
        const topology = measureChartTopology(cut);
        expect(charts.length).toBe(cut.chartCount);
        const corners = charts.flatMap((chart) => [...chart.corners]).sort((a, b) => a - b);
        expect(corners).toEqual([...Array(mesh.cornerCount).keys()]);
        expect(charts.flatMap((chart) => [...chart.faces]).sort((a, b) => a - b)).toEqual([
          ...Array(mesh.faceCount).keys(),
        ]);
        charts.forEach((chart, i) => {
          expect([...chart.faces]).toEqual([...chart.faces].sort((a, b) => a - b));
          expect(chart.vertexCount).toBe(topology[i]!.vertexCount);
          expect(chart.borderLoops.length).toBe(topology[i]!.borderLoops);
          expect(new Set(chart.cornerVertices).size).toBe(chart.vertexCount);
          chart.corners.forEach((c, local) => {
            const v = chart.cornerVertices[local]!;
            expect(chart.meshVertices[v]).toBe(mesh.cornerVertices[c]);
            const p = 3 * mesh.vertexPoints[mesh.cornerVertices[c]!]!;
            expect([...chart.positions.subarray(3 * v, 3 * v + 3)]).toEqual([
              ...mesh.points.subarray(p, p + 3),
            ]);
          });
          // Border loops: each border vertex once per passage, joined by sides of the chart's faces.
          const sides = new Set<string>();
          for (let f = 0; f < chart.faces.length; f++) {
            const face = chart.cornerVertices.subarray(chart.faceOffsets[f]!, chart.faceOffsets[f + 1]!);
            face.forEach((v, k) => {
              sides.add(`${v} ${face[(k + 1) % face.length]}`);
            });
          }
          for (const loop of chart.borderLoops) {
            expect(new Set(loop).size).toBe(loop.length);
            loop.forEach((v, k) => {
              expect(sides.has(`${v} ${loop[(k + 1) % loop.length]}`)).toBe(true);
            });
          }
        });
        const grouped = groupFacesByChart(cut);
        charts.forEach((chart, i) => {
          expect(grouped.faces.slice(grouped.offsets[i]!, grouped.offsets[i + 1]!)).toEqual(chart.faces);
        });
      }),
      { numRuns: 30 },
    );
  });

  it('cut nothing when only borders are marked', () => {
    fc.assert(
      fc.property(meshes.bordered, ({ mesh }) => {
        const built = buildMesh(mesh);
        const marked = cutAlong(built, (e) => isBorderEdge(built, e));
        const plain = cutAlong(built, () => false);
        expect([marked.chartCount, marked.cutVertexCount]).toEqual([plain.chartCount, plain.cutVertexCount]);
        expect(measureChartTopology(marked)).toEqual(measureChartTopology(plain));
      }),
      { numRuns: 20 },
    );
  });
});
