import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findTips } from '../../src/regions/find-tips.js';
import { gridSurface } from './surfaces.js';

describe('findTips', () => {
  const surface = gridSurface(20);
  const hills = (list: readonly (readonly [number, number, number])[]) =>
    Float64Array.from({ length: surface.vertexCount }, (_, v) => {
      const x = surface.positions[3 * v]!;
      const y = surface.positions[3 * v + 1]!;
      return Math.max(0, ...list.map(([cx, cy, height]) => height - Math.hypot(x - cx, y - cy)));
    });

  it('finds each hill, how far it stands out, and which higher one it meets', () => {
    const field = hills([
      [0.25, 0.25, 1],
      [0.75, 0.75, 0.9],
    ]);
    const tips = findTips(surface, field, 0.05);
    expect(
      tips.map((tip) => [surface.positions[3 * tip.vertex], surface.positions[3 * tip.vertex + 1]]),
    ).toEqual([
      [0.25, 0.25],
      [0.75, 0.75],
    ]);
    // The pass lies on the straight line between, where both hills are equally high.
    const pass = (1 + 0.9 - Math.SQRT1_2) / 2;
    expect(tips[1]!.persistence).toBeCloseTo(0.9 - pass, 1);
    expect(tips[1]!.elder).toBe(0);
    expect(tips[0]!.elder).toBe(-1);
  });

  it('leaves out hills that stand out less than asked', () => {
    const field = hills([
      [0.3, 0.5, 1],
      [0.7, 0.5, 0.7],
    ]);
    expect(findTips(surface, field, 0.04)).toHaveLength(2);
    expect(findTips(surface, field, 0.1)).toHaveLength(1);
  });

  it('finds as many tips as local maxima when nothing is left out, with persistences that sum up like a merge tree', () => {
    fc.assert(
      fc.property(fc.infiniteStream(fc.double({ min: 0, max: 1, noNaN: true })), (stream) => {
        const values = stream[Symbol.iterator]();
        const field = Float64Array.from({ length: surface.vertexCount }, () => values.next().value as number);
        const tips = findTips(surface, field, 0);
        let maxima = 0;
        for (let v = 0; v < surface.vertexCount; v++) {
          let isTop = true;
          for (let i = surface.neighbourOffsets[v]!; i < surface.neighbourOffsets[v + 1]!; i++) {
            const w = surface.neighbours[i]!;
            if (field[w]! > field[v]! || (field[w] === field[v] && w < v)) isTop = false;
          }
          if (isTop) maxima++;
        }
        expect(tips.filter((tip) => tip.persistence > 0 || tip.saddle < 0).length).toBeLessThanOrEqual(
          maxima,
        );
        expect(tips.length).toBeGreaterThanOrEqual(maxima);
        expect(tips.every((tip) => tip.saddle < 0 || tips[tip.elder]!.persistence >= tip.persistence)).toBe(
          true,
        );
      }),
      { numRuns: 20 },
    );
  });
});
