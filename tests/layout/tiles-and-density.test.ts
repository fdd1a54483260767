import { describe, expect, it } from 'vitest';
import type { FlatSetLike } from '../../src/layout/index.js';
import { arrangeCharts, udimTile } from '../../src/layout/index.js';
import { area, flatPolygons, freeTexels, HOOK, placedPolygons, rectangle, star } from './flat-polygons.js';

const quick = { effort: 0.2, rotation: 'none' } as const;

describe('density', () => {
  it('follows weights of parts, charts and faces, and tells the spread', () => {
    const { mesh, flat } = flatPolygons([rectangle(1, 1), rectangle(1, 2), star([1, 0.6, 1, 0.6])]);
    const charts = flat.charts.map((chart, i) => ({ ...chart, part: ['head', 'torso', 'hand'][i] }));
    const weights = { parts: { head: 2 }, charts: [1, 1, 1.5], faces: [1, 0.5, 1] };
    const layout = arrangeCharts(mesh, { charts }, { ...quick, weights });
    const densities = layout.charts.map(({ scale }) => scale * layout.resolution);
    expect(densities[0]! / densities[1]!).toBeCloseTo(4, 9);
    expect(densities[2]! / densities[1]!).toBeCloseTo(3, 9);
    expect(layout.density.most / layout.density.least).toBeCloseTo(layout.density.spread, 9);
    expect(layout.density.spread).toBeCloseTo(4, 9);
  });

  it('says which weights are of parts that no chart is of', () => {
    const { mesh, flat } = flatPolygons([rectangle(1, 1), rectangle(1, 2)]);
    const charts = flat.charts.map((chart) => ({ ...chart, part: 'head' }));
    const { notes } = arrangeCharts(mesh, { charts }, { ...quick, weights: { parts: { heed: 2, head: 1 } } });
    expect(notes).toEqual(["no chart is of the part 'heed', so its density weight changed nothing"]);
  });

  it('is given per unit and per metre', () => {
    const { mesh, flat } = flatPolygons([rectangle(1, 1)]);
    const { density, charts, resolution } = arrangeCharts(mesh, flat, { ...quick, metresPerUnit: 0.01 });
    expect(density.pixelsPerUnit).toBeCloseTo(charts[0]!.scale * resolution, 9);
    expect(density.pixelsPerMetre).toBeCloseTo(density.pixelsPerUnit * 100, 6);
  });

  it('can be fixed, and then fills as many tiles as it needs', () => {
    const { mesh, flat } = flatPolygons(Array.from({ length: 12 }, (_, k) => rectangle(1, 1 + (k % 3) / 4)));
    for (const density of [200, 700, 950]) {
      const layout = arrangeCharts(mesh, flat, { ...quick, density });
      expect(layout.density.pixelsPerMetre).toBeCloseTo(density, 4);
      expect(layout.density.spread).toBeCloseTo(1, 9);
      const total = flat.charts.reduce((sum, c) => sum + c.surfaceArea!, 0);
      const needed = (total * density ** 2) / layout.resolution ** 2;
      expect(layout.tiles.length).toBeGreaterThanOrEqual(Math.ceil(needed));
      expect(layout.tiles.length).toBeLessThanOrEqual(Math.ceil(2 * needed));
      expectTiled(layout, flat);
    }
  });

  it('says so when a density needs more than it may have', () => {
    const { mesh, flat } = flatPolygons([rectangle(1, 1), rectangle(1, 1), rectangle(1, 1)]);
    const tooDense = (density: number, tiles?: number) => () =>
      arrangeCharts(mesh, flat, { ...quick, density, tiles });
    expect(tooDense(1900, 2)).toThrow(/more than 2 tiles/);
    expect(tooDense(4000)).toThrow(/chart \d alone fits .* at 2016/);
    expect(tooDense(1900)).not.toThrow();
  });
});

function expectTiled(layout: ReturnType<typeof arrangeCharts>, flat: FlatSetLike): void {
  layout.tiles.forEach(({ tile, charts, fill }, t) => {
    expect(tile).toBe(1001 + (t % 10) + 10 * Math.floor(t / 10));
    const [u0, v0] = [(tile - 1001) % 10, Math.floor((tile - 1001) / 10)];
    const placed = placedPolygons(layout, flat);
    const onTile = charts.map((i) => placed[i]!.map(([u, v]) => [u - u0, v - v0] as const));
    for (const [u, v] of onTile.flat()) {
      expect(udimTile(u + u0, v + v0)).toBe(tile);
      expect(Math.min(u, v, 1 - u, 1 - v)).toBeGreaterThan(layout.padding / layout.resolution - 1e-9);
    }
    expect(freeTexels(onTile, layout.resolution, layout.gutter + 1)).toBeGreaterThanOrEqual(layout.gutter);
    expect(onTile.reduce((sum, polygon) => sum + area(polygon), 0)).toBeCloseTo(fill, 9);
  });
  expect(layout.tiles.flatMap(({ charts }) => charts).sort((a, b) => a - b)).toEqual(
    flat.charts.map((_, i) => i),
  );
}

describe('tiles', () => {
  it('are numbered as UDIM numbers them', () => {
    // The UDIM convention: 1001 + u + 10 v.
    const places = [
      [0.5, 0.5],
      [9.5, 0.5],
      [0.5, 1.5],
      [5.2, 2.3],
    ] as const;
    expect(places.map(([u, v]) => udimTile(u, v))).toEqual([1001, 1010, 1011, 1026]);
  });

  it('share the charts evenly, the charts of a part together and at one density', () => {
    const { mesh, flat } = flatPolygons(Array.from({ length: 12 }, () => rectangle(1, 1.5)));
    const charts = flat.charts.map((chart, i) => ({ ...chart, part: `part ${i >> 1}` }));
    const layout = arrangeCharts(mesh, { charts }, { ...quick, tiles: 3 });
    expect(layout.tiles.map((tile) => tile.charts.length)).toEqual([4, 4, 4]);
    for (let i = 0; i < 12; i += 2) expect(layout.charts[i]!.tile).toBe(layout.charts[i + 1]!.tile);
    expect(layout.density.spread).toBeCloseTo(1, 9);
    expectTiled(layout, { charts });
    const single = arrangeCharts(mesh, { charts }, quick);
    expect(layout.density.pixelsPerUnit).toBeGreaterThan(1.5 * single.density.pixelsPerUnit);
  });

  it('take the mirror images that are laid over their originals, each moved by whole tiles', () => {
    const turned = HOOK.map(([x, y]) => [-(0.6 * x - 0.8 * y), 0.8 * x + 0.6 * y] as const).reverse();
    const { mesh, flat } = flatPolygons([HOOK, turned, rectangle(2, 2)]);
    const charts = flat.charts.map((chart, i) => (i === 1 ? { ...chart, mirrorOf: 0 } : chart));
    const apart = arrangeCharts(mesh, { charts }, quick);
    const layout = arrangeCharts(mesh, { charts }, { ...quick, stackMirrored: true });
    expect(layout.density.pixelsPerUnit).toBeGreaterThan(1.1 * apart.density.pixelsPerUnit);
    expect(layout.charts.map(({ tile, mirrored }) => [tile, mirrored])).toEqual([
      [1001, false],
      [1002, true],
      [1001, false],
    ]);
    const [a, b] = placedPolygons(layout, { charts });
    b!.forEach(([u, v]) => {
      expect(Math.min(...a!.map(([x, y]) => Math.hypot(x + 1 - u, y - v)))).toBeLessThan(1e-9);
    });
    const wrong = charts.map((chart, i) => (i === 2 ? { ...chart, mirrorOf: 0 } : chart));
    expect(arrangeCharts(mesh, { charts: wrong }, { ...quick, stackMirrored: true }).notes.join()).toContain(
      'no exact mirror image',
    );
  });
});

describe('locked charts', () => {
  it('stay where they are, to the bit, and the rest is packed round them at their density or less', () => {
    const { mesh, flat } = flatPolygons([
      rectangle(2, 2),
      rectangle(1, 1),
      rectangle(1, 1),
      star([0.8, 0.4, 0.8, 0.4]),
    ]);
    const uvs = new Float64Array(2 * mesh.cornerCount).fill(Number.NaN);
    [0.3, 0.3, 0.7, 0.3, 0.7, 0.7, 0.3, 0.7].forEach((x, k) => {
      uvs[k] = x;
    });
    const layout = arrangeCharts(mesh, flat, { ...quick, locked: { charts: [0], uvs } });
    expect(layout.uvs.slice(0, 8)).toEqual(uvs.slice(0, 8));
    expect(layout.charts.map((chart) => chart.locked)).toEqual([true, false, false, false]);
    expect(layout.charts[0]!.scale).toBeCloseTo(0.2, 9);
    expect(layout.charts[1]!.scale).toBeLessThanOrEqual(0.2 * (1 + 1e-9));
    expect(layout.charts[1]!.scale).toBeGreaterThan(0.19);
    const placed = placedPolygons(layout, flat);
    expect(freeTexels(placed, layout.resolution, layout.gutter + 1)).toBeGreaterThanOrEqual(layout.gutter);
  });

  it('may lie closer to one another than the gutter', () => {
    const { mesh, flat } = flatPolygons([rectangle(1, 1), rectangle(1, 1), rectangle(1, 1)]);
    const uvs = new Float64Array(2 * mesh.cornerCount);
    uvs.set([0, 0, 0.3, 0, 0.3, 0.3, 0, 0.3, 0.3, 0, 0.6, 0, 0.6, 0.3, 0.3, 0.3]);
    const layout = arrangeCharts(mesh, flat, { ...quick, locked: { charts: [0, 1], uvs } });
    expect(layout.charts[2]!.scale).toBeCloseTo(0.3, 3);
    const placed = placedPolygons(layout, flat);
    for (const i of [0, 1])
      expect(freeTexels([placed[i]!, placed[2]!], 2048, layout.gutter + 1)).toBeGreaterThanOrEqual(
        layout.gutter,
      );
  });
});
