import fc from 'fast-check';
import { orient2d } from 'robust-predicates';
import { describe, expect, it } from 'vitest';
import type { FlatChart } from '../../src/flattening/index.js';
import { findBorderCrossings, flattenChart } from '../../src/flattening/index.js';
import type { ChartSurface } from '../../src/mesh/index.js';
import { buildMesh, cutMesh, extractCharts, measureChartTopology } from '../../src/mesh/index.js';
import { polarChart, RANDOM_CHARTS, seededRandom } from './random-charts.js';

/** Ten thousand charts with SEAMWRIGHT_LONG=1, else a sample. */
const RUNS_PER_KIND = process.env['SEAMWRIGHT_LONG'] ? 1250 : 25;

/** No flip, no overlap, all finite; decided exactly and without the library's own triangles. */
function expectSound(surface: ChartSurface, flat: FlatChart, mayBeConcave: boolean): void {
  const { uvs } = flat;
  expect(uvs.every(Number.isFinite)).toBe(true);
  expect(flat.isInjective).toBe(true);
  expect(flat.flippedFaces).toEqual([]);
  expect(flat.energy).toBeGreaterThan(4 - 1e-9);
  const concave = new Set(flat.concaveFaces);
  if (!mayBeConcave) expect(concave.size).toBe(0);
  for (let f = 0; f < surface.faces.length; f++) {
    const corners = surface.cornerVertices.subarray(surface.faceOffsets[f]!, surface.faceOffsets[f + 1]!);
    const polygon = Float64Array.from([...corners].flatMap((v) => [uvs[2 * v]!, uvs[2 * v + 1]!]));
    const n = corners.length;
    if (concave.has(f)) {
      // Simple and counter-clockwise.
      expect(findBorderCrossings(polygon)).toEqual([]);
      let area = 0;
      for (let i = 0; i < n; i++) {
        const j = (i + 1) % n;
        area += (polygon[2 * i]! - polygon[0]!) * (polygon[2 * j + 1]! - polygon[1]!);
        area -= (polygon[2 * i + 1]! - polygon[1]!) * (polygon[2 * j]! - polygon[0]!);
      }
      expect(area).toBeGreaterThan(0);
      continue;
    }
    // Every fan from every corner; orient2d is negative for counter-clockwise corners.
    for (let i = 0; i < n; i++) {
      for (let k = 1; k + 1 < n; k++) {
        const [a, b, c] = [2 * i, 2 * ((i + k) % n), 2 * ((i + k + 1) % n)];
        const turn = orient2d(
          polygon[a]!,
          polygon[a + 1]!,
          polygon[b]!,
          polygon[b + 1]!,
          polygon[c]!,
          polygon[c + 1]!,
        );
        expect(turn).toBeLessThan(0);
      }
    }
  }
  const border = surface.borderLoops[0]!;
  expect(
    findBorderCrossings(Float64Array.from([...border].flatMap((v) => [uvs[2 * v]!, uvs[2 * v + 1]!]))),
  ).toEqual([]);
}

describe('any disk is flattened without flips and overlaps', () => {
  it.each(Object.entries(RANDOM_CHARTS))('%s', (name, make) => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 2 ** 31 - 1 }), (seed) => {
        const mesh = buildMesh(make(seededRandom(seed)));
        const cut = cutMesh(mesh, new Uint8Array(mesh.edgeCount));
        const topology = measureChartTopology(cut);
        extractCharts(cut).forEach((surface, i) => {
          if (!topology[i]!.isDisk) return;
          // Grown at random, faces may share two sides with one neighbour: those cannot both be convex.
          expectSound(surface, flattenChart(surface), name === 'wild');
        });
      }),
      { numRuns: RUNS_PER_KIND, seed: 1 },
    );
  });

  it('even a closed tube of 200 rings that only opens at its end', () => {
    for (const [sectors, rings] of [
      [4, 100],
      [8, 80],
      [6, 200],
    ] as const) {
      const step = (2 * Math.PI) / sectors;
      const mesh = buildMesh(polarChart(sectors, rings, (k) => (k < 2 ? [k / 2, 0] : [1, -(k - 2) * step])));
      const [surface] = extractCharts(cutMesh(mesh, new Uint8Array(mesh.edgeCount)));
      expectSound(surface!, flattenChart(surface!), false);
    }
  });

  it('a single triangle, a single quad and a fan of 200', () => {
    for (const points of [
      [0, 0, 0, 1, 0, 0, 0.3, 1, 0.2],
      [0, 0, 0, 1, 0, 0.3, 1.2, 1, -0.1, 0, 1, 0.4],
    ]) {
      const count = points.length / 3;
      const mesh = buildMesh({
        points,
        faceVertexCounts: [count],
        faceVertexIndices: Array.from({ length: count }, (_, i) => i),
      });
      const [surface] = extractCharts(cutMesh(mesh, new Uint8Array(mesh.edgeCount)));
      expectSound(surface!, flattenChart(surface!), false);
    }
    const mesh = buildMesh(polarChart(200, 1, (k) => [k, 0.5 * k]));
    const [surface] = extractCharts(cutMesh(mesh, new Uint8Array(mesh.edgeCount)));
    expectSound(surface!, flattenChart(surface!), false);
  });

  it('gives the same numbers on every run', () => {
    const make = () => {
      const mesh = buildMesh(RANDOM_CHARTS['windingRamp']!(seededRandom(7)));
      return flattenChart(extractCharts(cutMesh(mesh, new Uint8Array(mesh.edgeCount)))[0]!);
    };
    expect(make().uvs).toEqual(make().uvs);
  });
});
