import { describe, expect, it } from 'vitest';
import { measureChart } from '../../src/distortion/index.js';
import { flattenChart } from '../../src/flattening/index.js';
import { buildMesh, cutMesh, extractCharts } from '../../src/mesh/index.js';
import { makeMarionette } from '../../src/testing/index.js';
import { chartOf } from './chart-of.js';
import { gridChart, polarChart, RANDOM_CHARTS, seededRandom } from './random-charts.js';

const bumpy = () =>
  chartOf(
    gridChart(
      14,
      14,
      (u, v) => [u, v, 0.25 * Math.sin(5 * u) * Math.cos(4 * v)],
      (cell) => (['quad', 'rising', 'falling'] as const)[cell % 3]!,
    ),
  );

describe('methods', () => {
  it('are chosen by the caller’s measure, with the losers’ figures', () => {
    const surface = bumpy();
    const flats = (['isometry', 'angles', 'area', 'stretch'] as const).map((measure) =>
      flattenChart(surface, { compare: true, measure }),
    );
    for (const flat of flats) {
      expect(flat.attempts.length).toBe(6);
      const values = flat.attempts.filter((a) => a.isInjective).map((a) => a.value);
      expect(flat.attempts.find((a) => a.method === flat.method)!.value).toBe(Math.min(...values));
    }
    const [isometry, angles, area] = flats.map((flat) => measureChart(surface, flat.uvs));
    expect(flats[0]!.method).toBe('isometric');
    expect(flats[1]!.method).not.toBe('isometric');
    expect(angles!.quasiConformal).toBeLessThan(isometry!.quasiConformal);
    expect(area!.areaError).toBeLessThan(angles!.areaError);
    // The values agree with the measurement of the finished map.
    expect(flats[1]!.attempts.find((a) => a.method === flats[1]!.method)!.value).toBeCloseTo(
      angles!.quasiConformal,
      9,
    );
    expect(flats[0]!.energy).toBeCloseTo(isometry!.energy, 9);
  });

  it('give the map asked for when it is sound', () => {
    const surface = bumpy();
    for (const method of [
      'boundary-first',
      'lscm',
      'spectral',
      'angle-based',
      'arap',
      'barycentric',
    ] as const)
      expect(flattenChart(surface, { method }).method).toBe(method);
  });

  it('give way to the isometric map, and say so, when theirs flips or overlaps', () => {
    let gaveWay = 0;
    for (let seed = 0; seed < 12; seed++) {
      const surface = chartOf(RANDOM_CHARTS['windingRamp']!(seededRandom(seed)));
      const flat = flattenChart(surface, { method: 'lscm' });
      expect(flat.isInjective).toBe(true);
      if (flat.method === 'lscm') continue;
      gaveWay++;
      expect(flat.method).toBe('isometric');
      expect(flat.attempts[0]!.method).toBe('lscm');
      expect(flat.attempts[0]!.isInjective).toBe(false);
    }
    expect(gaveWay).toBeGreaterThan(0);
  });

  it('order as they should on a hemisphere: isometric below rigid below conformal energy', () => {
    const n = 16;
    const surface = chartOf(
      polarChart(4 * n, n, (k) => [Math.sin((Math.PI / 2) * (k / n)), Math.cos((Math.PI / 2) * (k / n))]),
    );
    const energy = (method: 'isometric' | 'arap' | 'boundary-first') =>
      flattenChart(surface, { method }).energy;
    expect(energy('isometric')).toBeLessThan(energy('arap'));
    expect(energy('arap')).toBeLessThan(energy('boundary-first'));
  });

  it('of angle keep angles better than the isometric one', () => {
    const surface = bumpy();
    const error = (method: 'isometric' | 'angle-based') =>
      measureChart(surface, flattenChart(surface, { method }).uvs).angleError;
    expect(error('angle-based')).toBeLessThan(error('isometric'));
  });
});

describe('bad input', () => {
  it('is refused where the chart is no disk', () => {
    const tube = gridChart(12, 3, (u, v) => {
      const angle = u === 1 ? 0 : 2 * Math.PI * u;
      return [Math.cos(angle), Math.sin(angle), v];
    });
    expect(() => flattenChart(chartOf(tube))).toThrow(expect.objectContaining({ code: 'CHART_NOT_DISK' }));
    const torus = gridChart(8, 8, (u, v) => {
      const [a, b] = [u === 1 ? 0 : 2 * Math.PI * u, v === 1 ? 0 : 2 * Math.PI * v];
      return [(2 + Math.cos(b)) * Math.cos(a), (2 + Math.cos(b)) * Math.sin(a), Math.sin(b)];
    });
    expect(() => flattenChart(chartOf(torus))).toThrow(expect.objectContaining({ code: 'CHART_NOT_DISK' }));
  });

  it('is told from a disk that is opened too little to be laid flat in floating point', () => {
    const mesh = buildMesh(makeMarionette({ faces: 2500 }).mesh);
    const isSeam = new Uint8Array(mesh.edgeCount);
    const h = mesh.edgeHalfEdges[0]!;
    isSeam[mesh.halfEdgeEdges[h]!] = 1;
    isSeam[mesh.halfEdgeEdges[mesh.next[h]!]!] = 1;
    const body = extractCharts(cutMesh(mesh, isSeam)).find(
      ({ borderLoops, faces }) => borderLoops.length === 1 && faces.length > 1000,
    )!;
    expect(() => flattenChart(body)).toThrow(expect.objectContaining({ code: 'CHART_TOO_CLOSED' }));
  });

  it('with faces of no area is laid out all the same, every face open', () => {
    const input = gridChart(4, 4, (u, v) => [u < 0.5 ? u : u === 0.5 ? 0.25 + 1e-6 : u, v, 0]);
    const flat = flattenChart(chartOf(input));
    expect(flat.flippedFaces).toEqual([]);
    expect(flat.isInjective).toBe(true);
    // A face whose corners lie on one line exactly.
    const line = chartOf({
      points: [0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, 0.5, 1, 0],
      faceVertexCounts: [4, 3],
      faceVertexIndices: [0, 1, 2, 3, 3, 2, 4],
    });
    const withLine = flattenChart(line);
    expect(withLine.flippedFaces).toEqual([]);
    expect(withLine.isInjective).toBe(true);
    expect(withLine.energy).toBeLessThan(4.001);
  });

  it('in options is refused', () => {
    for (const options of [{ iterationLimit: -1 }, { tolerance: Number.NaN }])
      expect(() => flattenChart(bumpy(), options)).toThrow(
        expect.objectContaining({ code: 'OPTION_INVALID' }),
      );
  });
});
