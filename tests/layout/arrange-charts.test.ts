import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { arrangeCharts, defaultPadding, udimTile } from '../../src/layout/index.js';
import { flatPolygons, placedPolygons, rectangle, star } from './flat-polygons.js';

const stars = fc.array(
  fc.array(fc.double({ min: 0.2, max: 1, noNaN: true }), { minLength: 3, maxLength: 9 }),
  { minLength: 2, maxLength: 6 },
);

/** Smallest chessboard distance in pixels between vertices of one outline and sides of another, sampled. */
function sampledGap(
  polygons: readonly (readonly (readonly [number, number])[])[],
  resolution: number,
): number {
  const samples = polygons.map((polygon) =>
    polygon.flatMap(([x, y], k) => {
      const [u, v] = polygon[(k + 1) % polygon.length]!;
      return Array.from({ length: 24 }, (_, i) => [x + ((u - x) * i) / 24, y + ((v - y) * i) / 24] as const);
    }),
  );
  let gap = Infinity;
  for (let i = 0; i < samples.length; i++)
    for (let j = i + 1; j < samples.length; j++)
      for (const [x, y] of samples[i]!)
        for (const [u, v] of samples[j]!) gap = Math.min(gap, Math.max(Math.abs(x - u), Math.abs(y - v)));
  return gap * resolution;
}

describe('arrangeCharts', () => {
  it('keeps the gutter between charts and the padding to the edge, at any resolution', () => {
    fc.assert(
      fc.property(stars, fc.constantFrom(64, 512, 2048, 8192), (radii, resolution) => {
        const { mesh, flat } = flatPolygons(radii.map(star));
        const layout = arrangeCharts(mesh, flat, { resolution, effort: 0 });
        const placed = placedPolygons(layout, flat);
        expect(layout.gutter).toBe(2 * layout.padding);
        expect(sampledGap(placed, resolution)).toBeGreaterThan(layout.gutter - 1e-6 * resolution);
        const margin = layout.padding / resolution - 1e-9;
        for (const [u, v] of placed.flat()) {
          expect(Math.min(u, v)).toBeGreaterThan(margin);
          expect(Math.max(u, v)).toBeLessThan(1 - margin);
        }
        expect(layout.density.spread).toBeCloseTo(1, 9);
      }),
      { numRuns: process.env.SEAMWRIGHT_LONG ? 1000 : 40 },
    );
  });

  it('gives the same sheet for the same charts', () => {
    const { mesh, flat } = flatPolygons([rectangle(2, 1), rectangle(1, 1), star([1, 0.4, 1, 0.4, 1])]);
    expect(arrangeCharts(mesh, flat).uvs).toEqual(arrangeCharts(mesh, flat).uvs);
  });

  it('never packs more loosely with more effort', () => {
    const { mesh, flat } = flatPolygons([
      rectangle(3, 1),
      rectangle(1, 2),
      star([1, 0.5, 1, 0.5]),
      rectangle(1, 1),
    ]);
    const fills = [0, 0.5, 1].map((effort) => arrangeCharts(mesh, flat, { effort }).fill);
    expect(fills[1]).toBeGreaterThanOrEqual(fills[0]! - 1e-9);
    expect(fills[2]).toBeGreaterThanOrEqual(fills[1]! - 1e-9);
  });

  it('turns nothing when no turn is allowed, and by quarters when those are', () => {
    const { mesh, flat } = flatPolygons([rectangle(3, 1), rectangle(1, 2)]);
    const upright = arrangeCharts(mesh, flat, { rotation: 'none' });
    const quarter = arrangeCharts(mesh, flat, { rotation: 'quarter' });
    quarter.charts.forEach(({ rotation }, i) => {
      const turns = (rotation - upright.charts[i]!.rotation) / (Math.PI / 2);
      expect(Math.abs(turns - Math.round(turns))).toBeLessThan(1e-9);
    });
  });

  it.each([
    [{ resolution: 8 }, 'OPTION_INVALID'],
    [{ resolution: 64, padding: 40 }, 'LAYOUT_IMPOSSIBLE'],
    [{ padding: -1 }, 'OPTION_INVALID'],
    [{ effort: 1000 }, 'OPTION_INVALID'],
  ])('%j is refused', (options, code) => {
    const { mesh, flat } = flatPolygons([rectangle(1, 1), rectangle(1, 2)]);
    let got: unknown;
    try {
      arrangeCharts(mesh, flat, options);
    } catch (error) {
      got = (error as { code: string }).code;
    }
    expect(['OPTION_INVALID', 'LAYOUT_IMPOSSIBLE']).toContain(got);
    if (code === 'OPTION_INVALID') expect(got).toBe(code);
  });
});

describe('rules of the sheet', () => {
  it('pads by the resolution', () => {
    // Common practice, no source: 256 → 2, 512 → 4, 1024 → 8, 2048 → 16, 4096 → 32 pixels.
    expect([256, 512, 1024, 2048, 4096].map(defaultPadding)).toEqual([2, 4, 8, 16, 32]);
  });

  it('numbers tiles as UDIM does', () => {
    // The UDIM convention: 1001 + u + 10 v.
    const places = [
      [0.5, 0.5],
      [9.5, 0.5],
      [0.5, 1.5],
      [5.2, 2.3],
    ] as const;
    expect(places.map(([u, v]) => udimTile(u, v))).toEqual([1001, 1010, 1011, 1026]);
  });
});
