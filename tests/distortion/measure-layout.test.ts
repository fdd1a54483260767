import { describe, expect, it } from 'vitest';
import { measureLayout } from '../../src/distortion/index.js';
import { buildMesh } from '../../src/mesh/index.js';

/** Unit squares in the plane, apart in space, each with its own UVs. */
function squares(uvs: readonly (readonly number[])[]) {
  const points = uvs.flatMap((_, i) => [3 * i, 0, 0, 3 * i + 1, 0, 0, 3 * i + 1, 1, 0, 3 * i, 1, 0]);
  const mesh = buildMesh({
    points,
    faceVertexCounts: uvs.map(() => 4),
    faceVertexIndices: Array.from({ length: 4 * uvs.length }, (_, i) => i),
  });
  return { mesh, cornerUvs: Float64Array.from(uvs.flat()) };
}

const box = (u: number, v: number, width: number, height = width) => [
  u,
  v,
  u + width,
  v,
  u + width,
  v + height,
  u,
  v + height,
];

describe('measureLayout', () => {
  it('finds charts, density, fill and gap of a sound layout', () => {
    const { mesh, cornerUvs } = squares([box(0.1, 0.1, 0.25), box(0.4, 0.1, 0.25), box(0.1, 0.5, 0.25)]);
    const report = measureLayout(mesh, cornerUvs, { resolution: 1000 });
    expect(report.charts.length).toBe(3);
    expect(report.diskCount).toBe(3);
    expect(report.energy).toBeCloseTo(4, 12);
    expect(report.energyGlobal).toBeCloseTo(4, 12);
    expect(report.stretchL2).toBeCloseTo(1, 12);
    expect(report.stretchLinf).toBeCloseTo(1, 12);
    expect(report.texelDensity).toBeCloseTo(250, 9);
    expect(report.densitySpread).toBeCloseTo(1, 12);
    expect(report.fill).toBeCloseTo(3 / 16, 12);
    expect(report.gap).toBeCloseTo(50, 9);
    expect(report.overlaps.pairs).toEqual([]);
    expect(report.outsideFaces).toEqual([]);
    expect(report.mirroredCharts).toEqual([]);
    expect(report.seamLength).toBe(0);
  });

  it('tells uneven scale between charts from stretch within them', () => {
    const { mesh, cornerUvs } = squares([box(0, 0, 0.2), box(0.5, 0, 0.4)]);
    const report = measureLayout(mesh, cornerUvs);
    expect(report.energy).toBeCloseTo(4, 12);
    // One scale for both: areas 0.04 and 0.16, even scale² 0.1, σ² 0.4 and 1.6; mean of 2σ² + 2/σ².
    expect(report.energyGlobal).toBeCloseTo((0.8 + 5 + 3.2 + 1.25) / 2, 12);
    expect(report.densitySpread).toBeCloseTo(2, 12);
    expect(report.stretchLinf).toBeCloseTo(1 / Math.sqrt(0.4), 12);
  });

  it('takes faces that reach into one another by rounding only for touching', () => {
    const squares = buildMesh({
      points: [0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, 0, 0, 1, 1, 0, 1, 1, 1, 1, 0, 1, 1],
      faceVertexCounts: [4, 4],
      faceVertexIndices: [0, 1, 2, 3, 4, 5, 6, 7],
    });
    const overlapBy = (depth: number) => {
      const low = 0.5 - depth;
      const uvs = [0, 0, 0.5, 0, 0.5, 0.5, 0, 0.5, 0, low, 0.5, low, 0.5, 1, 0, 1];
      return measureLayout(squares, uvs).overlaps.pairs;
    };
    expect([0, 2 ** -53, 2 ** -50].map(overlapBy)).toEqual([[], [], []]);
    expect([1e-14, 1e-9].map(overlapBy)).toEqual([[[0, 1]], [[0, 1]]]);
  });

  it('lists the exact pairs of overlapping faces and their area; touching is none', () => {
    const { mesh, cornerUvs } = squares([
      box(0, 0, 0.25),
      box(0.25, 0, 0.25), // touches the first along a side
      box(0.25, 0.25, 0.25), // touches the first at a corner
      box(0.125, 0.125, 0.25, 0.0625), // lies on the first and the second
    ]);
    const { overlaps } = measureLayout(mesh, cornerUvs);
    expect(overlaps.pairs).toEqual([
      [0, 3],
      [1, 3],
    ]);
    expect(overlaps.area).toBeCloseTo(0.25 * 0.0625, 12);
    expect(overlaps.isTruncated).toBe(false);
    expect(measureLayout(mesh, cornerUvs, { overlapLimit: 1 }).overlaps.isTruncated).toBe(true);
  });

  it('sees charts stacked on one another', () => {
    const { mesh, cornerUvs } = squares([box(0, 0, 0.5), box(0, 0, 0.5)]);
    expect(measureLayout(mesh, cornerUvs).overlaps.pairs).toEqual([[0, 1]]);
  });

  it('sees mirrored charts, flipped faces and faces without area', () => {
    const mirrored = [0.9, 0.1, 0.6, 0.1, 0.6, 0.4, 0.9, 0.4];
    const { mesh, cornerUvs } = squares([box(0.1, 0.1, 0.3), mirrored]);
    expect(measureLayout(mesh, cornerUvs).mirroredCharts).toEqual([1]);
    // Three quads in a row, the last folded back and the middle one collapsed.
    const row = buildMesh({
      points: [0, 0, 0, 1, 0, 0, 2, 0, 0, 3, 0, 0, 0, 1, 0, 1, 1, 0, 2, 1, 0, 3, 1, 0],
      faceVertexCounts: [4, 4, 4],
      faceVertexIndices: [0, 1, 5, 4, 1, 2, 6, 5, 2, 3, 7, 6],
    });
    const u = [0, 0.5, 0.5, 0.3];
    const uvs = Array.from(row.cornerPoints).flatMap((p) => [u[p % 4]!, p < 4 ? 0 : 0.5]);
    const report = measureLayout(row, uvs);
    expect(report.charts.length).toBe(1);
    expect(report.degenerateFaces).toEqual([1]);
    expect(report.flippedFaces).toEqual([2]);
    expect(report.overlaps.pairs).toEqual([[0, 2]]);
    expect(Number.isFinite(report.energy)).toBe(true);
  });

  it('names tiles 1001 + u + 10 v, and what lies outside (check-values 17)', () => {
    const places = [
      [0.5, 0.5, 1001],
      [9.5, 0.5, 1010],
      [0.5, 1.5, 1011],
      [5.2, 2.3, 1026],
    ] as const;
    const { mesh, cornerUvs } = squares(places.map(([u, v]) => box(u - 0.1, v - 0.1, 0.2)));
    const report = measureLayout(mesh, cornerUvs);
    expect(report.charts.map((chart) => chart.tile)).toEqual(places.map(([, , tile]) => tile));
    expect(report.charts.every((chart) => chart.isInsideTile)).toBe(true);
    expect(report.outsideFaces).toEqual([1, 2, 3]);
    const across = squares([box(0.9, 0.1, 0.2)]);
    expect(measureLayout(across.mesh, across.cornerUvs).charts[0]!.isInsideTile).toBe(false);
    const before = squares([box(-0.6, 0.1, 0.2)]);
    expect(measureLayout(before.mesh, before.cornerUvs).charts[0]!.tile).toBeUndefined();
  });

  it('measures the seams between charts', () => {
    const mesh = buildMesh({
      points: [0, 0, 0, 2, 0, 0, 4, 0, 0, 0, 3, 0, 2, 3, 0, 4, 3, 0],
      faceVertexCounts: [4, 4],
      faceVertexIndices: [0, 1, 4, 3, 1, 2, 5, 4],
    });
    const report = measureLayout(mesh, [...box(0, 0, 0.2, 0.3), ...box(0.5, 0, 0.2, 0.3)]);
    expect(report.charts.length).toBe(2);
    expect(report.seamLength).toBeCloseTo(3, 12);
    const joined = measureLayout(mesh, [...box(0, 0, 0.2, 0.3), ...box(0.2, 0, 0.2, 0.3)]);
    expect(joined.charts.length).toBe(1);
    expect(joined.seamLength).toBe(0);
  });

  it('leaves out faces without UVs, and lists them', () => {
    const { mesh, cornerUvs } = squares([box(0, 0, 0.5), box(0.5, 0, 0.5), box(0, 0.5, 0.5)]);
    const holed = cornerUvs.map((x, k) => (k === 9 ? Number.NaN : x));
    const report = measureLayout(mesh, holed);
    expect(report.unmappedFaces).toEqual([1]);
    expect([...report.faceCharts]).toEqual([0, -1, 1]);
    expect(report.charts.map(({ faces }) => [...faces])).toEqual([[0], [2]]);
    expect(report.fill).toBeCloseTo(0.5, 12);
    const whole = measureLayout(mesh, cornerUvs);
    expect([report.energy, report.texelDensity]).toEqual([whole.energy, whole.texelDensity]);
    expect(whole.unmappedFaces).toEqual([]);
  });

  it('fills the tiles that charts lie on', () => {
    const { mesh, cornerUvs } = squares([box(0, 0, 1), box(1, 0, 0.5)]);
    expect(measureLayout(mesh, cornerUvs).fill).toBeCloseTo((1 + 0.25) / 2, 12);
  });

  it('refuses UVs of another length, infinite ones, and none at all', () => {
    const { mesh, cornerUvs } = squares([box(0, 0, 1)]);
    for (const uvs of [cornerUvs.slice(1), cornerUvs.map(() => Number.NaN), cornerUvs.map(() => Infinity)])
      expect(() => measureLayout(mesh, uvs)).toThrow(expect.objectContaining({ code: 'UV_INVALID' }));
  });

  it('stays finite when all UVs are one point', () => {
    const { mesh, cornerUvs } = squares([box(0, 0, 1), box(0, 0, 1)]);
    const report = measureLayout(mesh, cornerUvs.fill(0.5));
    expect(report.degenerateFaces).toEqual([0, 1]);
    expect(report.overlaps.pairs).toEqual([]);
    expect(report.fill).toBe(0);
  });
});
