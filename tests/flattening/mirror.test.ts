import { describe, expect, it } from 'vitest';
import { flattenChart, flattenCharts } from '../../src/flattening/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { chartOf } from './chart-of.js';
import { gridChart } from './random-charts.js';

const COLUMNS = 12;
const ROWS = 9;

/** A bumpy apron, mirrored in x = 0. */
const apron = (columns = COLUMNS) =>
  gridChart(columns, ROWS, (u, v) => {
    const x = 2 * u - 1;
    return [x, 1.5 * v, 0.5 * Math.cos(3 * x) * Math.sin(4 * v) + 0.6 * x * x];
  });

/** Partner of each local vertex by position. */
function partnersOf(surface: ReturnType<typeof chartOf>): Int32Array {
  const key = (x: number, y: number, z: number) => [x, y, z].map((c) => Math.round(c * 1e9) + 0).join();
  const byPlace = new Map<string, number>();
  const p = surface.positions;
  for (let v = 0; v < surface.vertexCount; v++) byPlace.set(key(p[3 * v]!, p[3 * v + 1]!, p[3 * v + 2]!), v);
  return Int32Array.from(
    { length: surface.vertexCount },
    (_, v) => byPlace.get(key(-p[3 * v]!, p[3 * v + 1]!, p[3 * v + 2]!))!,
  );
}

describe('mirrored charts', () => {
  it('come out symmetric in u = 0 within 1e-6 of their size', () => {
    const surface = chartOf(apron());
    const partners = partnersOf(surface);
    const free = flattenChart(surface);
    for (const method of ['isometric', 'boundary-first', 'lscm', 'spectral'] as const) {
      const { uvs, isInjective } = flattenChart(surface, { method, mirrorPartners: partners });
      expect(isInjective).toBe(true);
      for (let v = 0; v < surface.vertexCount; v++) {
        const p = partners[v]!;
        expect(Math.abs(uvs[2 * v]! + uvs[2 * p]!)).toBeLessThan(1e-9);
        expect(Math.abs(uvs[2 * v + 1]! - uvs[2 * p + 1]!)).toBeLessThan(1e-9);
      }
    }
    const symmetric = flattenChart(surface, { mirrorPartners: partners });
    expect(symmetric.energy).toBeLessThan(free.energy * (1 + 1e-5));
  });

  it.each([COLUMNS, COLUMNS + 1])('reach the least energy there is, %i columns', (columns) => {
    const surface = chartOf(apron(columns));
    const free = flattenChart(surface, { tolerance: 1e-9 });
    const symmetric = flattenChart(surface, { tolerance: 1e-9, mirrorPartners: partnersOf(surface) });
    expect(symmetric.isConverged).toBe(true);
    expect(symmetric.energy).toBeCloseTo(free.energy, 9);
    expect(symmetric.iterations).toBeLessThanOrEqual(free.iterations + 2);
  });

  it('come out as images of one another when they lie on either side', () => {
    const input = apron();
    const mesh = buildMesh(input);
    const width = COLUMNS + 1;
    // Two seams, mirror images: strips at either side and a symmetric middle.
    const strip = (column: number) =>
      Array.from({ length: ROWS }, (_, j) => [j * width + column, (j + 1) * width + column] as const);
    const set = { seams: [{ edges: strip(3) }, { edges: strip(COLUMNS - 3) }] };
    const vertexPartners = Int32Array.from({ length: mesh.vertexCount }, (_, v) => {
      const point = mesh.vertexPoints[v]!;
      const image = Math.floor(point / width) * width + (COLUMNS - (point % width));
      return mesh.cornerVertices[mesh.cornerPoints.indexOf(image)]!;
    });
    const facePartners = Int32Array.from(
      { length: mesh.faceCount },
      (_, f) => Math.floor(f / COLUMNS) * COLUMNS + (COLUMNS - 1 - (f % COLUMNS)),
    );
    const flat = flattenCharts(mesh, set, { mirror: { vertexPartners, facePartners } });
    expect(flat.charts.length).toBe(3);
    const [left, middle, right] = flat.charts as [
      (typeof flat.charts)[0],
      (typeof flat.charts)[0],
      (typeof flat.charts)[0],
    ];
    const uvAt = (chart: typeof left, vertex: number) => {
      const c = Array.from(chart.corners).findIndex((corner) => mesh.cornerVertices[corner] === vertex);
      return [chart.uvs[2 * c]!, chart.uvs[2 * c + 1]!] as const;
    };
    for (const [chart, image] of [
      [left, right],
      [middle, middle],
    ] as const) {
      for (const corner of chart.corners) {
        const vertex = mesh.cornerVertices[corner]!;
        const here = uvAt(chart, vertex);
        const there = uvAt(image, vertexPartners[vertex]!);
        expect(Math.hypot(here[0] + there[0], here[1] - there[1])).toBeLessThan(1e-9);
      }
    }
    expect(left.energy).toBeCloseTo(right.energy, 9);
  });

  it('refuse partners that are not mutual', () => {
    const surface = chartOf(apron());
    const partners = partnersOf(surface).fill(0, 0, 3);
    expect(() => flattenChart(surface, { mirrorPartners: partners })).toThrow(
      expect.objectContaining({ code: 'OPTION_INVALID' }),
    );
  });
});
