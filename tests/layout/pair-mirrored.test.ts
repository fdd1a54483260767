import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Layout, LayoutOptions } from '../../src/layout/index.js';
import { arrangeCharts } from '../../src/layout/index.js';
import type { Polygon } from './flat-polygons.js';
import { flatPolygons, freeTexels, HOOK, placedPolygons, rectangle, star } from './flat-polygons.js';

const quick = { effort: 0.2, resolution: 512, pairMirrored: true } as const;

/** The mirror image of a polygon, turned, in the same direction round. */
const mirrorImage = (polygon: Polygon, angle: number): Polygon =>
  polygon
    .map(([x, y]) => {
      const [c, s] = [Math.cos(angle), Math.sin(angle)];
      return [-(c * x - s * y), s * x + c * y] as const;
    })
    .reverse();

/** Polygons two by two, the second of each the mirror image of the first, then those without one. */
function pairedCharts(pairs: readonly Polygon[], single: readonly Polygon[], angle = 0) {
  const polygons = [...pairs.flatMap((polygon) => [polygon, mirrorImage(polygon, angle)]), ...single];
  const { mesh, flat } = flatPolygons(polygons);
  const charts = flat.charts.map((chart, i) =>
    i < 2 * pairs.length && i % 2 === 1 ? { ...chart, mirrorOf: i - 1 } : chart,
  );
  return { mesh, flat: { charts } };
}

/** How far one polygon is from being the other's mirror image across the line midway between the two. */
function asymmetry(a: Polygon, b: Polygon): number {
  const mean = (polygon: Polygon) =>
    [0, 1].map((k) => polygon.reduce((sum, p) => sum + p[k]!, 0) / polygon.length) as [number, number];
  const [p, q] = [mean(a), mean(b)];
  const length = Math.hypot(q[0] - p[0], q[1] - p[1]);
  const [nx, ny] = [(q[0] - p[0]) / length, (q[1] - p[1]) / length];
  const [mx, my] = [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
  let worst = 0;
  for (const [x, y] of a) {
    const d = 2 * ((x - mx) * nx + (y - my) * ny);
    worst = Math.max(worst, Math.min(...b.map(([u, v]) => Math.hypot(x - d * nx - u, y - d * ny - v))));
  }
  return worst;
}

const placedPair = (layout: Layout, flat: Parameters<typeof placedPolygons>[1], k: number) => {
  const polygons = placedPolygons(layout, flat);
  return [polygons[2 * k]!, polygons[2 * k + 1]!] as const;
};

describe('mirror images side by side', () => {
  it('are each other’s image across one line, with little more than the gutter between them', () => {
    const { mesh, flat } = pairedCharts([HOOK, rectangle(1, 3)], [rectangle(3, 3)]);
    for (const rotation of ['free', 'quarter', 'none'] as const) {
      const layout = arrangeCharts(mesh, flat, { ...quick, rotation });
      for (const k of [0, 1]) expect(asymmetry(...placedPair(layout, flat, k))).toBeLessThan(1e-9);
      const gap = freeTexels(placedPair(layout, flat, 0), layout.resolution, 3 * layout.gutter);
      expect(gap).toBeGreaterThanOrEqual(layout.gutter);
      // A pair may lie aslant, where texels see it nearer by as much as the root of two.
      expect(gap).toBeLessThanOrEqual(1.2 * Math.SQRT2 * layout.gutter + 1);
      expect(layout.gap).toBeGreaterThanOrEqual(layout.gutter);
      expect(layout.notes.join()).not.toContain('mirror');
    }
  });

  it('are found however their UVs are turned, and lie apart where only quarter turns could bring them together', () => {
    const { mesh, flat } = pairedCharts([HOOK], [rectangle(2, 2)], 0.6);
    const layout = arrangeCharts(mesh, flat, { ...quick, rotation: 'free' });
    expect(asymmetry(...placedPair(layout, flat, 0))).toBeLessThan(1e-9);
    expect(layout.notes).toEqual([]);
  });

  it('keep the gutter and the border, whatever their shapes and margins', () => {
    const outline = fc
      .tuple(
        fc.double({ min: 0.2, max: 2, noNaN: true }),
        fc.array(fc.double({ min: 0.2, max: 1, noNaN: true }), { minLength: 3, maxLength: 10 }),
      )
      .map(([size, radii]) => star(radii.map((r) => r * size)));
    const some = fc.array(outline, { minLength: 1, maxLength: 4 });
    fc.assert(
      fc.property(
        some,
        fc.array(outline, { maxLength: 2 }),
        fc.constantFrom(64, 512, 4096),
        fc.constantFrom(undefined, 0, 2),
        fc.constantFrom('free', 'quarter', 'none'),
        (pairs, single, resolution, padding, rotation) => {
          const { mesh, flat } = pairedCharts(pairs, single);
          const options: LayoutOptions = { resolution, padding, rotation, effort: 0.1, pairMirrored: true };
          const layout = arrangeCharts(mesh, flat, options);
          const placed = placedPolygons(layout, flat);
          const gutter = Math.floor(layout.gutter);
          expect(freeTexels(placed, resolution, gutter + 1)).toBeGreaterThanOrEqual(gutter);
          expect(layout.gap).toBeGreaterThanOrEqual(layout.gutter);
          const margin = layout.padding / resolution - 1e-12;
          for (const x of layout.uvs) expect(x >= margin && x <= 1 - margin).toBe(true);
          for (const k of pairs.keys())
            expect(asymmetry(placed[2 * k]!, placed[2 * k + 1]!)).toBeLessThan(1e-7);
        },
      ),
      { numRuns: 15 },
    );
  });

  it('share a tile, at a density of the caller’s as well', () => {
    const { mesh, flat } = pairedCharts([HOOK, rectangle(1, 2), star([1, 0.5, 1])], []);
    for (const options of [{ tiles: 3 }, { density: 60 }]) {
      const layout = arrangeCharts(mesh, flat, { ...quick, ...options });
      for (const k of [0, 1, 2]) {
        expect(layout.charts[2 * k]!.tile).toBe(layout.charts[2 * k + 1]!.tile);
        expect(asymmetry(...placedPair(layout, flat, k))).toBeLessThan(1e-9);
      }
      expect(layout.density.spread).toBeCloseTo(1, 9);
    }
    const dense = arrangeCharts(mesh, flat, { ...quick, density: 90 });
    expect(dense.notes).toEqual(['mirror images find no room side by side and were packed apart']);
    expect(dense.density.pixelsPerMetre).toBeCloseTo(90, 4);
  });

  it('are noted where they are none, and left where one is locked', () => {
    const { mesh, flat } = pairedCharts([HOOK], [rectangle(2, 2)]);
    const wrong = flat.charts.map((chart, i) =>
      i === 2 ? { ...chart, mirrorOf: 0 } : { ...chart, mirrorOf: undefined },
    );
    expect(arrangeCharts(mesh, { charts: wrong }, quick).notes).toEqual([
      'chart 2 is no exact mirror image of chart 0 and was not laid beside it',
    ]);
    const single = flat.charts.map((chart) => ({ ...chart, mirrorOf: undefined }));
    expect(arrangeCharts(mesh, { charts: single }, quick).notes).toEqual([
      'no chart has a mirror image to lay beside it',
    ]);
    expect(() => arrangeCharts(mesh, flat, { ...quick, stackMirrored: true })).toThrow(
      expect.objectContaining({ code: 'OPTION_INVALID' }),
    );
    const { uvs } = arrangeCharts(mesh, flat, quick);
    const locked = arrangeCharts(mesh, flat, { ...quick, locked: { charts: [0], uvs } });
    expect(locked.charts[0]!.locked).toBe(true);
    for (const corner of Array.from(flat.charts[0]!.corners))
      expect([locked.uvs[2 * corner], locked.uvs[2 * corner + 1]]).toEqual([
        uvs[2 * corner],
        uvs[2 * corner + 1],
      ]);
    expect(locked.gap).toBeGreaterThanOrEqual(locked.gutter);
  });
});
