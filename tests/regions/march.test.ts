import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Marcher } from '../../src/regions/march.js';
import { gridSurface } from './surfaces.js';

describe('Marcher', () => {
  const surface = gridSurface(40);
  const marcher = new Marcher(surface);
  const at = (i: number, j: number) => j * 41 + i;

  it('measures straight distances on a flat square', () => {
    // First-order marching: error below 3 % of the distance plus one edge on a grid (measured: 1.2 %).
    const source = at(7, 11);
    const distances = marcher.run([source]);
    let low = Infinity;
    let high = -Infinity;
    for (let v = 0; v < surface.vertexCount; v++) {
      const dx = surface.positions[3 * v]! - 7 / 40;
      const dy = surface.positions[3 * v + 1]! - 11 / 40;
      const straight = Math.hypot(dx, dy);
      low = Math.min(low, distances[v]! - straight);
      high = Math.max(high, distances[v]! - 1.03 * straight);
    }
    expect(low).toBeGreaterThanOrEqual(-1e-9);
    expect(high).toBeLessThanOrEqual(0.5 / 40);
  });

  it('is exact for a plane wave along the grid', () => {
    const line = Array.from({ length: 41 }, (_, j) => at(0, j));
    const distances = marcher.run(line);
    const errors = distances.map((d, v) => Math.abs(d - surface.positions[3 * v]!));
    expect(Math.max(...errors)).toBeLessThan(1e-10);
  });

  it('leaves what lies beyond the limit or outside the open vertices at Infinity', () => {
    const distances = marcher.run([at(0, 0)], { limit: 0.2 });
    expect(distances[at(40, 40)]).toBe(Infinity);
    expect(distances[at(4, 0)]).toBeCloseTo(0.1, 10);
    const isOpen = new Uint8Array(surface.vertexCount);
    for (let i = 0; i <= 40; i++) isOpen[at(i, 0)] = 1;
    const along = marcher.run([at(0, 0)], { isOpen });
    expect(along[at(40, 0)]).toBeCloseTo(1, 10);
    expect(along[at(0, 1)]).toBe(Infinity);
  });

  it('never rises by more than the length of an edge, whatever the sources', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            v: fc.nat(surface.vertexCount - 1),
            offset: fc.double({ min: 0, max: 0.3, noNaN: true }),
          }),
          {
            minLength: 1,
            maxLength: 5,
          },
        ),
        (sources) => {
          const distances = marcher.run(
            sources.map(({ v }) => v),
            { offsets: sources.map(({ offset }) => offset) },
          );
          let worst = -Infinity;
          for (let v = 0; v < surface.vertexCount; v++)
            for (let i = surface.neighbourOffsets[v]!; i < surface.neighbourOffsets[v + 1]!; i++) {
              const w = surface.neighbours[i]!;
              const edge = Math.hypot(
                surface.positions[3 * v]! - surface.positions[3 * w]!,
                surface.positions[3 * v + 1]! - surface.positions[3 * w + 1]!,
              );
              worst = Math.max(worst, distances[w]! - distances[v]! - edge);
            }
          expect(worst).toBeLessThanOrEqual(1e-12);
        },
      ),
      { numRuns: 20 },
    );
  });
});
