import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { LayoutOptions } from '../../src/layout/index.js';
import { arrangeCharts, defaultPadding, LAYOUT_DEFAULTS } from '../../src/layout/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import type { Polygon } from './flat-polygons.js';
import { area, flatPolygons, freeTexels, placedPolygons, rectangle, star } from './flat-polygons.js';

const isLong = process.env.SEAMWRIGHT_LONG === '1';

/** Star-shaped outlines of very different sizes, some with deep hollows, and long boxes. */
const outlines: fc.Arbitrary<Polygon> = fc.oneof(
  {
    weight: 4,
    arbitrary: fc
      .tuple(
        fc.double({ min: 0.05, max: 2, noNaN: true }),
        fc.array(fc.double({ min: 0.15, max: 1, noNaN: true }), { minLength: 3, maxLength: 14 }),
      )
      .map(([size, radii]) => star(radii.map((r) => r * size))),
  },
  {
    weight: 1,
    arbitrary: fc
      .tuple(fc.double({ min: 0.1, max: 1, noNaN: true }), fc.double({ min: 0.02, max: 5, noNaN: true }))
      .map(([size, aspect]) => rectangle(size, size * aspect)),
  },
);

function codeOf(work: () => unknown): string | undefined {
  try {
    work();
  } catch (error) {
    return (error as { code?: string }).code;
  }
  return undefined;
}

describe('the gutter', () => {
  it('keeps its texels free between any two charts, and the padding to the edge, at any resolution', () => {
    fc.assert(
      fc.property(
        fc.array(outlines, { minLength: 1, maxLength: isLong ? 30 : 8 }),
        fc.constantFrom(64, 128, 512, 2048, 8192),
        fc.constantFrom('free', 'quarter', 'none'),
        fc.constantFrom(undefined, 0, 1, 3),
        fc.constantFrom(0, 0.2),
        (polygons, resolution, rotation, padding, effort) => {
          const { mesh, flat } = flatPolygons(polygons);
          const options = { resolution, rotation, padding, effort } as LayoutOptions;
          const layout = arrangeCharts(mesh, flat, options);
          const placed = placedPolygons(layout, flat);
          expect(layout.gutter).toBe(2 * layout.padding);
          const gutter = Math.floor(layout.gutter);
          expect(freeTexels(placed, resolution, gutter + 1)).toBeGreaterThanOrEqual(gutter);
          expect(layout.gap).toBeGreaterThanOrEqual(layout.gutter);
          const margin = layout.padding / resolution - 1e-12;
          for (const x of layout.uvs) {
            expect(x).toBeGreaterThanOrEqual(margin);
            expect(x).toBeLessThanOrEqual(1 - margin);
          }
          expect(layout.density.spread).toBeCloseTo(1, 9);
          const covered = placed.reduce((sum, polygon) => sum + area(polygon), 0);
          expect(layout.fill).toBeCloseTo(covered, 9);
        },
      ),
      { numRuns: isLong ? 500 : 25 },
    );
  });

  it('is the usual one for the resolution unless another is asked for', () => {
    // Common practice, no source: 256 → 2, 512 → 4, 1024 → 8, 2048 → 16, 4096 → 32 pixels.
    expect([256, 512, 1024, 2048, 4096].map(defaultPadding)).toEqual([2, 4, 8, 16, 32]);
    const { mesh, flat } = flatPolygons([rectangle(1, 1), rectangle(1, 1)]);
    const layout = arrangeCharts(mesh, flat, { effort: 0 });
    expect(layout.resolution).toBe(LAYOUT_DEFAULTS.resolution);
    expect([layout.padding, layout.gutter]).toEqual([16, 32]);
  });
});

describe('the packing', () => {
  it('finds the best scale of equal squares', () => {
    // k × k equal squares: scale = (1 − 2 border − (k − 1) gutter) / k, by arithmetic.
    for (const k of [1, 2, 3]) {
      const { mesh, flat } = flatPolygons(Array.from({ length: k * k }, () => rectangle(1, 1)));
      const layout = arrangeCharts(mesh, flat, { rotation: 'none' });
      const side = (1 - 2 / 128 - (k - 1) / 64) / k;
      expect(layout.charts[0]!.scale / side).toBeGreaterThan(0.9999);
      expect(layout.charts[0]!.scale / side).toBeLessThanOrEqual(1);
    }
  });

  it('lays a chart by itself as it fits the square best, without a search', () => {
    const kite: Polygon = [
      [-1, -1],
      [1.2, -1.2],
      [1, 1],
      [-1.2, 1.2],
    ];
    fc.assert(
      fc.property(fc.oneof(outlines, fc.constant(kite)), (polygon) => {
        const { mesh, flat } = flatPolygons([polygon]);
        const scaleOf = (effort: number) =>
          arrangeCharts(mesh, flat, { padding: 0, effort }).charts[0]!.scale;
        expect(scaleOf(0)).toBeCloseTo(scaleOf(1), 9);
      }),
    );
  });

  it('lays a needle along the diagonal', () => {
    const { mesh, flat } = flatPolygons([rectangle(1, 0.001)]);
    const { charts, fillLimit, fill } = arrangeCharts(mesh, flat, { padding: 0 });
    expect(charts[0]!.scale).toBeGreaterThan(1.41);
    expect(fill).toBeLessThanOrEqual(fillLimit + 1e-9);
  });

  it('uses hollows', () => {
    // A frame with one side open, and a square that only leaves its scale alone from inside.
    const open: Polygon = [
      [0, 0],
      [10, 0],
      [10, 10],
      [0, 10],
      [0, 8],
      [8, 8],
      [8, 2],
      [0, 2],
    ];
    const { mesh, flat } = flatPolygons([open, rectangle(4, 4)]);
    const layout = arrangeCharts(mesh, flat, { padding: 2, rotation: 'none' });
    expect(layout.charts[0]!.scale * 10).toBeGreaterThan(0.99);
  });

  it('fills the sheet with the pieces of a figure', () => {
    const { mesh, flat } = flatPolygons(figurePieces());
    // Guards against getting worse; 0.714 and 0.635 as measured, with the usual gutter of 32 px at 2048.
    expect(arrangeCharts(mesh, flat, { effort: 0.6 }).fill).toBeGreaterThan(0.69);
    expect(arrangeCharts(mesh, flat, { effort: 0.2, rotation: 'none' }).fill).toBeGreaterThan(0.61);
  });

  it('gives the same bytes twice, and does not mind how charts are numbered', () => {
    const { mesh, flat } = flatPolygons([
      rectangle(2, 1),
      rectangle(1, 1),
      star([1, 0.4, 1, 0.4, 1]),
      star([3, 1, 2]),
    ]);
    const options = { effort: 0.2 };
    const { uvs } = arrangeCharts(mesh, flat, options);
    expect(arrangeCharts(mesh, flat, options).uvs).toEqual(uvs);
    const shuffled = { charts: [2, 0, 3, 1].map((i) => flat.charts[i]!) };
    expect(arrangeCharts(mesh, shuffled, options).uvs).toEqual(uvs);
  });

  it('never packs more loosely with more effort, and stops when told', () => {
    const { mesh, flat } = flatPolygons(figurePieces().slice(0, 5));
    const fills = [0, 0.2, 0.6].map((effort) => arrangeCharts(mesh, flat, { effort }).fill);
    for (let k = 1; k < fills.length; k++) expect(fills[k]).toBeGreaterThanOrEqual(fills[k - 1]! - 1e-12);
    let asked = 0;
    const keepGoing = () => ++asked < 2;
    const stopped = arrangeCharts(mesh, flat, { effort: 100, rotation: 'none', keepGoing });
    expect(asked).toBe(2);
    expect(stopped.fill).toBeGreaterThan(fills[0]! - 1e-12);
  });

  it('tells how far it is, from nothing to all, never less than before', () => {
    const { mesh, flat } = flatPolygons(figurePieces().slice(0, 4));
    const shares: number[] = [];
    arrangeCharts(mesh, flat, { effort: 0.4, onProgress: (share) => shares.push(share) });
    expect(shares[0]).toBe(0);
    expect(shares.at(-1)).toBe(1);
    expect(shares.length).toBeGreaterThan(3);
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
  });

  it('keeps pieces as they stand, or turns them by quarters, when that is all that is allowed', () => {
    const { mesh, flat } = flatPolygons([rectangle(3, 1), rectangle(1, 2), star([1, 0.5, 0.8])]);
    const upright = arrangeCharts(mesh, flat, { rotation: 'none', effort: 0.4 });
    const quarter = arrangeCharts(mesh, flat, { rotation: 'quarter', effort: 0.4 });
    quarter.charts.forEach(({ rotation }, i) => {
      const turns = (rotation - upright.charts[i]!.rotation) / (Math.PI / 2);
      expect(Math.abs(turns - Math.round(turns))).toBeLessThan(1e-9);
    });
    expect(quarter.fill).toBeGreaterThanOrEqual(upright.fill - 1e-9);
  });

  it('says which chart keeps the sheet from being filled', () => {
    const { mesh, flat } = flatPolygons([rectangle(10, 1), rectangle(1, 1)]);
    const layout = arrangeCharts(mesh, flat, { rotation: 'none', padding: 0 });
    expect(layout.fillLimit).toBeCloseTo(0.11, 6);
    expect(layout.notes.join()).toContain('chart 0');
  });
});

describe('the placement of a chart', () => {
  it('is what its scale, rotation and offset say', () => {
    const { mesh, flat } = flatPolygons([star([1, 0.4, 1, 0.4, 1]), star([3, 1, 2])]);
    const layout = arrangeCharts(mesh, flat, { effort: 0.2 });
    flat.charts.forEach((chart, i) => {
      const { scale, rotation, offset, bounds, mirrored } = layout.charts[i]!;
      expect(mirrored).toBe(false);
      for (let k = 0; k < chart.corners.length; k++) {
        const [x, y] = [chart.uvs[2 * k]!, chart.uvs[2 * k + 1]!];
        const u = scale * (Math.cos(rotation) * x - Math.sin(rotation) * y) + offset[0];
        const v = scale * (Math.sin(rotation) * x + Math.cos(rotation) * y) + offset[1];
        const c = chart.corners[k]!;
        expect(Math.abs(layout.uvs[2 * c]! - u)).toBeLessThan(1e-12);
        expect(Math.abs(layout.uvs[2 * c + 1]! - v)).toBeLessThan(1e-12);
        expect(u).toBeGreaterThanOrEqual(bounds[0] - 1e-12);
        expect(v).toBeLessThanOrEqual(bounds[3] + 1e-12);
      }
    });
  });

  it('turns back a chart that came turned over', () => {
    const { mesh, flat } = flatPolygons([star([1, 0.4, 0.9]), rectangle(1, 1)]);
    const turned = flat.charts.map((c) => ({ ...c, uvs: Array.from(c.uvs, (x, k) => (k & 1 ? x : -x)) }));
    const layout = arrangeCharts(mesh, { charts: turned }, { effort: 0 });
    for (const polygon of placedPolygons(layout, flat)) expect(area(polygon)).toBeGreaterThan(0);
  });
});

describe('difficult input', () => {
  const pair = () => flatPolygons([rectangle(1, 1), rectangle(1, 2)]);

  it.each<[LayoutOptions, string]>([
    [{ resolution: 8 }, 'OPTION_INVALID'],
    [{ resolution: 100.5 }, 'OPTION_INVALID'],
    [{ resolution: 64, padding: 40 }, 'OPTION_INVALID'],
    [{ resolution: 64, padding: 20 }, 'LAYOUT_IMPOSSIBLE'],
    [{ padding: -1 }, 'OPTION_INVALID'],
    [{ padding: Number.NaN }, 'OPTION_INVALID'],
    [{ effort: 1000 }, 'OPTION_INVALID'],
    [{ rotation: 'sideways' as 'free' }, 'OPTION_INVALID'],
    [{ density: 0 }, 'OPTION_INVALID'],
    [{ tiles: 0 }, 'OPTION_INVALID'],
    [{ metresPerUnit: -1 }, 'OPTION_INVALID'],
    [{ up: [0, 0, 0] }, 'OPTION_INVALID'],
    [{ weights: { charts: [1] } }, 'OPTION_INVALID'],
    [{ weights: { charts: [1, 0] } }, 'OPTION_INVALID'],
    [{ weights: { faces: [1] } }, 'OPTION_INVALID'],
    [{ locked: { charts: [5], uvs: new Float64Array(16) } }, 'OPTION_INVALID'],
    [{ locked: { charts: [0], uvs: new Float64Array(3) } }, 'OPTION_INVALID'],
    [{ locked: { charts: [0], uvs: new Float64Array(16).fill(2) } }, 'UV_INVALID'],
    [{ signal: AbortSignal.abort() }, 'CANCELLED'],
  ])('%j is refused with %s', (options, code) => {
    const { mesh, flat } = pair();
    expect(codeOf(() => arrangeCharts(mesh, flat, options))).toBe(code);
  });

  it('refuses UVs that are not finite, of the wrong length, or without any area', () => {
    const { mesh, flat } = pair();
    const change = (uvs: number[]) => ({ charts: [{ ...flat.charts[0]!, uvs }, flat.charts[1]!] });
    expect(codeOf(() => arrangeCharts(mesh, change([0, 0, 1, 0, Number.NaN, 1, 0, 1])))).toBe('UV_INVALID');
    expect(codeOf(() => arrangeCharts(mesh, change([0, 0])))).toBe('UV_INVALID');
    const nothing = { charts: flat.charts.map((c) => ({ ...c, uvs: Array.from(c.uvs, () => 3) })) };
    expect(codeOf(() => arrangeCharts(mesh, nothing))).toBe('UV_INVALID');
    expect(codeOf(() => arrangeCharts(mesh, { charts: [] }))).toBe('UV_INVALID');
  });

  it('draws charts without area together in the margin', () => {
    const { mesh, flat } = flatPolygons([rectangle(1, 1), rectangle(1, 1), rectangle(1, 1)]);
    const charts = [
      { ...flat.charts[0]!, uvs: [0, 0, 5, 0, 9, 0, 2, 0], surfaceArea: 0 },
      ...flat.charts.slice(1),
    ];
    const layout = arrangeCharts(mesh, { charts }, { effort: 0 });
    expect(layout.uvs.every((x) => x > 0 && x < 1)).toBe(true);
    expect(layout.charts[0]!.scale).toBe(0);
    const alone = flatPolygons([rectangle(1, 1), rectangle(1, 1)]);
    expect(layout.fill).toBeCloseTo(arrangeCharts(alone.mesh, alone.flat, { effort: 0 }).fill, 9);
  });

  it('fills the sheet with hundreds of pieces, better when they may turn', () => {
    const size = (k: number) => 0.3 + 1.5 * ((k * 0.618) % 1) ** 2;
    const pieces = Array.from({ length: 300 }, (_, k) =>
      star([1, 0.6, 0.9, 0.5, 0.8, 0.7, 1, 0.55].map((r, n) => r * size(k + n / 50))),
    );
    const { mesh, flat } = flatPolygons(pieces);
    // Guards against getting worse.
    const upright = arrangeCharts(mesh, flat, { rotation: 'none' }).fill;
    const quarter = arrangeCharts(mesh, flat, { rotation: 'quarter' }).fill;
    expect(quarter).toBeGreaterThan(0.98 * upright);
    expect(arrangeCharts(mesh, flat).fill).toBeGreaterThan(0.39);
  });

  it('packs dozens of thin frames and strips by their outlines, not in rows of boxes', () => {
    // Angles, as they fold off beams: their boxes are three quarters empty.
    const pieces = Array.from({ length: 30 }, (_, k): [number, number][] => {
      const [long, wide] = [3 + ((k * 0.618) % 1) * 3, 0.5 + ((k * 0.414) % 1) * 0.4];
      return [
        [0, 0],
        [long, 0],
        [long, wide],
        [wide, wide],
        [wide, long * 0.8],
        [0, long * 0.8],
      ];
    });
    const { mesh, flat } = flatPolygons(pieces);
    const rows = arrangeCharts(mesh, flat, { effort: 0 }).fill;
    expect(arrangeCharts(mesh, flat).fill).toBeGreaterThan(1.3 * rows);
  });

  it('lowers a padding nobody asked for where the charts are too many for it', () => {
    const { mesh, flat } = flatPolygons(
      Array.from({ length: isLong ? 100_000 : 3000 }, () => rectangle(1, 1)),
    );
    const layout = arrangeCharts(mesh, flat, { effort: 0 });
    expect(layout.padding).toBeLessThan(16);
    expect(layout.gap).toBeGreaterThanOrEqual(layout.gutter);
    expect(layout.notes.join()).toContain('lowered');
    expect(codeOf(() => arrangeCharts(mesh, flat, { effort: 0, padding: 20 }))).toBe('LAYOUT_IMPOSSIBLE');
  }, 300_000);

  it('marks corners of faces that no chart has', () => {
    const { mesh, flat } = pair();
    const layout = arrangeCharts(mesh, { charts: flat.charts.slice(0, 1) }, { effort: 0 });
    expect([...layout.uvs.slice(8)].every(Number.isNaN)).toBe(true);
  });

  it('takes a chart whose faces meet in a cut', () => {
    // A ring of eight quads, cut open: both sides of the cut are border, and the outline is one loop.
    const points: number[] = [];
    const indices: number[] = [];
    for (let k = 0; k < 8; k++) for (const r of [1, 2]) points.push(r * Math.cos(k), r * Math.sin(k), 0);
    const uvs: number[] = [];
    for (let k = 0; k < 8; k++) {
      const [a, b] = [2 * k, 2 * ((k + 1) % 8)];
      indices.push(a, a + 1, b + 1, b);
      uvs.push(k, 1, k, 0, k + 1, 0, k + 1, 1);
    }
    const mesh = buildMesh({ points, faceVertexCounts: new Array(8).fill(4), faceVertexIndices: indices });
    const corners = Array.from({ length: 32 }, (_, c) => c);
    const chart = { faces: [0, 1, 2, 3, 4, 5, 6, 7], corners, uvs };
    const layout = arrangeCharts(mesh, { charts: [chart] }, { rotation: 'none', padding: 0 });
    expect(layout.charts[0]!.scale).toBeGreaterThan(0.12);
    expect(layout.charts[0]!.scale).toBeLessThanOrEqual(Math.SQRT2 / 8);
    expect(layout.fill).toBeCloseTo(8 * layout.charts[0]!.scale ** 2, 9);
  });
});

/** The pieces of a figure opened flat: torso with shoulders, legs, arms, hands with fingers, head, feet. */
function figurePieces(): Polygon[] {
  const mirror = (polygon: Polygon): Polygon => polygon.map(([x, y]) => [-x, y] as const).reverse();
  const half: Polygon = [
    [0, -3],
    [1.4, -3.4],
    [2.2, -2.2],
    [1.7, -0.5],
    [2, 1],
    [3.2, 1.4],
    [3, 2.6],
    [1.2, 3],
    [0.6, 2.4],
    [0, 2.3],
  ];
  const torso: Polygon = [...half, ...mirror(half).slice(1, -1)];
  const leg: Polygon = [
    [-1.4, 4],
    [1.5, 3.6],
    [1, 0],
    [0.8, -4],
    [-0.7, -4],
    [-1, 0],
  ];
  const arm: Polygon = [
    [-0.8, 2.5],
    [0.9, 2.3],
    [0.5, -2.5],
    [-0.5, -2.5],
  ];
  const fingers: [number, number][] = [];
  for (let k = 0; k < 5; k++)
    fingers.push(
      [-1 + 0.42 * k, 0.3],
      [-0.95 + 0.45 * k, 1.4],
      [-0.7 + 0.45 * k, 1.4],
      [-0.66 + 0.42 * k, 0.3],
    );
  const hand: Polygon = [[-0.6, -1], ...fingers, [0.7, -1]].reverse() as unknown as Polygon;
  const head: Polygon = star(
    Array.from({ length: 16 }, (_, k) => 1.5 + 0.5 * Math.sin(3 * ((2 * Math.PI * k) / 16))),
  );
  const foot: Polygon = [
    [-0.5, -1.2],
    [0.5, -1.2],
    [0.9, 0.6],
    [0.3, 1.1],
    [-0.8, 0.8],
  ];
  return [torso, leg, mirror(leg), arm, mirror(arm), hand, mirror(hand), head, foot, mirror(foot)];
}
