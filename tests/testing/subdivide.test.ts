import { describe, expect, it } from 'vitest';
import { cube, gridPatch, torus } from '../../src/testing/index.js';
import { sampleSurface } from '../../src/testing/marionette/sample-surface.js';
import {
  fitCage,
  limitChannels,
  quadSurface,
  subdivide,
} from '../../src/testing/marionette/subdivide-cage.js';

const surfaceOf = (mesh: { faceVertexIndices: Int32Array; points: Float64Array }) =>
  quadSurface(mesh.faceVertexIndices, mesh.points, 3);

describe('Catmull–Clark subdivision', () => {
  it('takes the corner (1, 1, 1) of a cube about the origin to (½, ½, ½)', () => {
    // Limit mask of a valence-3 point: (9 v + 4 Σ neighbours + Σ opposite corners) / 24.
    const box = cube({ size: 2 });
    const limit = limitChannels(surfaceOf({ ...box, points: box.points.map((x) => x - 1) }), 3);
    for (const x of limit) expect(Math.abs(x)).toBeCloseTo(0.5, 15);
  });

  it('leaves a flat grid flat and its middle in place, rounding only the corners', () => {
    const grid = gridPatch(4);
    const limit = limitChannels(surfaceOf(grid), 3);
    for (let p = 0; p < grid.points.length; p += 3) {
      const [x, y] = [grid.points[p]!, grid.points[p + 1]!];
      expect(limit[p + 2]).toBe(0);
      if (x > 0 && x < 4) expect(limit[p]).toBeCloseTo(x, 14);
      if (y > 0 && y < 4) expect(limit[p + 1]).toBeCloseTo(y, 14);
    }
  });

  it('keeps the limit of a point through further steps', () => {
    for (const mesh of [cube({ n: 2 }), torus({ p: 5, q: 4 }), gridPatch(3, 2)]) {
      const coarse = surfaceOf(mesh);
      const fine = subdivide(subdivide(coarse, 3), 3);
      const [a, b] = [limitChannels(coarse, 3), limitChannels(fine, 3)];
      for (let i = 0; i < a.length; i++) expect(b[i]).toBeCloseTo(a[i]!, 13);
      // Twins stay twins.
      fine.twins.forEach((t, c) => {
        if (t < 0) return;
        expect(fine.twins[t]).toBe(c);
        const next = (corner: number) => fine.quads[(corner & ~3) | ((corner + 1) & 3)];
        expect([fine.quads[t], next(t)]).toEqual([next(c), fine.quads[c]]);
      });
    }
  });

  it('samples any number of cells per face on the same surface', () => {
    const cage = surfaceOf(torus({ p: 6, q: 5 }));
    const exact = sampleSurface(cage, 3, 4);
    for (const grid of [1, 2, 3, 5, 6, 7]) {
      const sampled = sampleSurface(cage, 3, grid);
      expect(sampled.quads.length).toBe(4 * 30 * grid * grid);
      expect(sampled.pointCount).toBe(30 * grid * grid);
      // Points of the cage come first in all.
      for (let i = 0; i < 90; i++) expect(sampled.channels[i]).toBeCloseTo(exact.channels[i]!, 13);
    }
    // Twelve cells pass through the points of four.
    const twelve = sampleSurface(cage, 3, 12);
    for (let q = 0; q < 30; q++) {
      const at = (s: { quads: Int32Array; channels: Float64Array; grid: number }, share: number) => {
        const cell = Math.round(share * s.grid);
        return 3 * s.quads[4 * (q * s.grid * s.grid + cell * s.grid + cell)]!;
      };
      for (const share of [0.25, 0.5, 0.75])
        for (let k = 0; k < 3; k++)
          expect(twelve.channels[at(twelve, share) + k]).toBeCloseTo(
            exact.channels[at(exact, share) + k]!,
            12,
          );
    }
  });

  it('fits a cage whose surface passes nearer to the points', () => {
    const design = surfaceOf(torus({ p: 6, q: 5 }));
    const miss = (steps: number) => {
      const limit = limitChannels(fitCage(design, 3, steps), 3);
      return Math.sqrt(limit.reduce((sum, x, i) => sum + (x - design.channels[i]!) ** 2, 0));
    };
    expect(miss(4)).toBeLessThan(0.2 * miss(0));
    expect(miss(40)).toBeLessThan(0.01 * miss(0));
  });
});
