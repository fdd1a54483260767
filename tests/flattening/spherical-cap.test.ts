import { describe, expect, it } from 'vitest';
import { measureChart } from '../../src/distortion/index.js';
import type { FlattenMethod } from '../../src/flattening/index.js';
import { flattenChart } from '../../src/flattening/index.js';
import type { ChartSurface } from '../../src/mesh/index.js';
import { chartOf } from './chart-of.js';
import { gridChart, polarChart } from './random-charts.js';

/** Cap of the unit sphere with the half-angle `alpha`, in `rings` rings of nearly square cells. */
function cap(alpha: number, rings: number): ChartSurface {
  const sectors = Math.max(
    8,
    Math.round((2 * Math.PI * Math.sin(Math.min(alpha, Math.PI / 2)) * rings) / alpha),
  );
  return chartOf(
    polarChart(sectors, rings, (k) => [Math.sin((alpha * k) / rings), Math.cos((alpha * k) / rings)]),
  );
}

/** Polar angle of each face's middle. */
const facePolarAngles = (surface: ChartSurface) =>
  Array.from({ length: surface.faces.length }, (_, f) => {
    const corners = surface.cornerVertices.subarray(surface.faceOffsets[f]!, surface.faceOffsets[f + 1]!);
    const sum = [0, 0, 0];
    for (const v of corners) for (let k = 0; k < 3; k++) sum[k]! += surface.positions[3 * v + k]!;
    return Math.atan2(Math.hypot(sum[0]!, sum[1]!), sum[2]!);
  });

const degrees = (angle: number) => Math.round((angle * 180) / Math.PI);
const LADDER = [8, 16, 32];

/** The values of a ladder of finer meshes close in on `expected` at about second order, and end within `last`. */
function expectConvergence(
  name: string,
  values: readonly number[],
  expected: number,
  last: number,
  order = 1.5,
) {
  const errors = values.map((value) => Math.abs(value - expected));
  console.log(
    `${name}: expected ${expected.toFixed(6)}, errors ${errors.map((e) => e.toExponential(2)).join(', ')}`,
  );
  for (let i = 1; i < errors.length; i++) expect(errors[i]!).toBeLessThan(errors[i - 1]! / 2 ** order + 1e-9);
  expect(errors[errors.length - 1]!).toBeLessThan(last);
}

describe('conformal maps of spherical caps', () => {
  for (const alpha of [Math.PI / 3, Math.PI / 2]) {
    const method: FlattenMethod = 'boundary-first';
    const runs = LADDER.map((rings) => {
      const surface = cap(alpha, rings);
      const { uvs } = flattenChart(surface, { method });
      return { surface, measured: measureChart(surface, uvs), angles: facePolarAngles(surface), rings };
    });
    const scaleOf = ({ measured }: (typeof runs)[number], f: number) =>
      Math.sqrt(measured.faceSigma1[f]! * measured.faceSigma2[f]!);

    it(`have the scale of the stereographic map at ${degrees(alpha)}° (check-values 9)`, () => {
      // The linear scale at θ is sec²(θ/2) over a constant: compared at the faces' own θ, centre against rim.
      const ratios = runs.map((run) => {
        const last = run.surface.faces.length - 1;
        const bySurface = scaleOf(run, last) / scaleOf(run, 0);
        const byFormula = Math.cos(run.angles[0]! / 2) ** 2 / Math.cos(run.angles[last]! / 2) ** 2;
        return bySurface / byFormula;
      });
      expectConvergence(`scale rim/centre at ${degrees(alpha)}° over sec²`, ratios, 1, 2e-3, 1);
      // Area scale over its mean at the centre: cos²(α/2).
      const centres = runs.map(
        (run) => scaleOf(run, 0) ** 2 / (run.measured.uvArea / run.measured.surfaceArea),
      );
      expectConvergence(
        `area scale at the centre at ${degrees(alpha)}°`,
        centres,
        Math.cos(alpha / 2) ** 2,
        5e-3,
        0.8,
      );
    });

    it(`have the closed form's L2 stretch at ${degrees(alpha)}° (check-values 10; Sander et al. 2001)`, () => {
      const u = Math.cos(alpha);
      const expected = Math.sqrt((8 - (1 + u) ** 3) / (12 * (1 - u))) / Math.cos(alpha / 2);
      expectConvergence(
        `L2 at ${degrees(alpha)}°`,
        runs.map((run) => run.measured.stretchL2),
        expected,
        5e-4,
      );
      expect(expected).toBeCloseTo(alpha < 1.1 ? 1.013794 : 1.080123, 6);
    });

    it(`close in on conformality at ${degrees(alpha)}°`, () => {
      expectConvergence(
        `σ1/σ2 at ${degrees(alpha)}°`,
        runs.map((run) => run.measured.quasiConformal),
        1,
        0.03,
        0.8,
      );
    });
  }

  it('is respected by Chebyshev–Grave: no conformal method has less spread of scale than sec²(α/2)', () => {
    const alpha = Math.PI / 2;
    const surface = cap(alpha, 24);
    const angles = facePolarAngles(surface);
    const rim = angles[angles.length - 1]!;
    for (const method of ['boundary-first', 'lscm', 'spectral', 'angle-based'] as const) {
      const { faceSigma1, faceSigma2 } = measureChart(surface, flattenChart(surface, { method }).uvs);
      const scales = Array.from(faceSigma1, (s, f) => Math.sqrt(s * faceSigma2[f]!));
      // The faces' middles reach from the first ring to the last: the bound for what lies between them.
      const bound = Math.cos(angles[0]! / 2) ** 2 / Math.cos(rim / 2) ** 2;
      expect(Math.max(...scales) / Math.min(...scales)).toBeGreaterThan(bound * 0.995);
    }
  });

  it('is respected by Milnor: every map of a cap has max σ1 / min σ2 ≥ α/sin α (check-values 12)', () => {
    for (const alpha of [Math.PI / 6, Math.PI / 3, Math.PI / 2]) {
      const surface = cap(alpha, 24);
      for (const method of ['isometric', 'boundary-first', 'arap'] as const) {
        const { faceSigma1, faceSigma2 } = measureChart(surface, flattenChart(surface, { method }).uvs);
        const ratio = Math.max(...faceSigma1) / Math.min(...faceSigma2);
        // Slack for the flat faces' discretisation, first order at the rim.
        expect(ratio).toBeGreaterThan((alpha / Math.sin(alpha)) * (1 - 0.02));
      }
    }
  });
});

describe('other closed forms', () => {
  const givenUvs = (surface: ChartSurface, radius: (theta: number) => number) => {
    const uvs = new Float64Array(2 * surface.vertexCount);
    for (let v = 0; v < surface.vertexCount; v++) {
      const [x, y, z] = surface.positions.subarray(3 * v, 3 * v + 3) as unknown as [number, number, number];
      const across = Math.hypot(x, y);
      const r = radius(Math.atan2(across, z));
      uvs[2 * v] = across > 0 ? (r * x) / across : 0;
      uvs[2 * v + 1] = across > 0 ? (r * y) / across : 0;
    }
    return uvs;
  };

  it('measures the equal-area map of a hemisphere: σ1/σ2 = 2 at the rim, area ratio 1 (check-values 11)', () => {
    const ladder = LADDER.map((rings) => {
      const surface = cap(Math.PI / 2, rings);
      const measured = measureChart(
        surface,
        givenUvs(surface, (theta) => 2 * Math.sin(theta / 2)),
      );
      const last = surface.faces.length - 1;
      const theta = facePolarAngles(surface)[last]!;
      // sec and cos of θ/2, at the middle of the last ring
      return {
        ratio: measured.faceSigma1[last]! / measured.faceSigma2[last]! / (1 / Math.cos(theta / 2) ** 2),
        area: measured.areaError,
      };
    });
    expectConvergence(
      'σ1/σ2 at the rim over sec²(θ/2)',
      ladder.map((l) => l.ratio),
      1,
      2e-3,
    );
    expectConvergence(
      'area error',
      ladder.map((l) => l.area),
      1,
      0.01,
      0.8,
    );
  });

  it('measures the equidistant map as Milnor’s optimum: max σ1 / min σ2 = α/sin α (Milnor 1969)', () => {
    for (const [alpha, expected] of [
      [Math.PI / 6, 1.0472],
      [Math.PI / 3, 1.2092],
      [Math.PI / 2, 1.5708],
    ] as const) {
      const ratios = LADDER.map((rings) => {
        const surface = cap(alpha, rings);
        const { faceSigma1, faceSigma2 } = measureChart(
          surface,
          givenUvs(surface, (theta) => theta),
        );
        return Math.max(...faceSigma1) / Math.min(...faceSigma2);
      });
      expectConvergence(`equidistant, ${degrees(alpha)}°`, ratios, expected, 0.04, 0.7);
    }
  });

  it('measures UV = (2x, y/2) as σ1/σ2 = 4, area kept, Σ(σ² + σ⁻²) = 8.5 (check-values 16; Smith & Schaefer 2015)', () => {
    const surface = chartOf({
      points: [0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0],
      faceVertexCounts: [4],
      faceVertexIndices: [0, 1, 2, 3],
    });
    const uvs = Float64Array.from(
      { length: 8 },
      (_, i) => surface.positions[3 * (i >> 1) + (i & 1)]! * (i & 1 ? 0.5 : 2),
    );
    const measured = measureChart(surface, uvs);
    expect(measured.quasiConformal).toBeCloseTo(4, 12);
    expect(measured.uvArea).toBeCloseTo(1, 12);
    expect(measured.energyAsGiven).toBeCloseTo(8.5, 12);
    expect(measured.energy).toBeCloseTo(8.5, 12);
  });

  it('keeps a sphere octant’s ratio above the known bounds (check-values 13)', () => {
    const n = 24;
    const points: number[] = [];
    const index = new Map<string, number>();
    const at = (i: number, j: number) => {
      const key = `${i},${j}`;
      const known = index.get(key);
      if (known !== undefined) return known;
      const p = [i, j, n - i - j];
      const length = Math.hypot(...p);
      points.push(...p.map((x) => x / length));
      index.set(key, points.length / 3 - 1);
      return points.length / 3 - 1;
    };
    const faces: number[][] = [];
    for (let i = 0; i < n; i++) {
      for (let j = 0; i + j < n; j++) {
        faces.push([at(i, j), at(i + 1, j), at(i, j + 1)]);
        if (i + j + 2 <= n) faces.push([at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)]);
      }
    }
    const surface = chartOf({
      points,
      faceVertexCounts: faces.map(() => 3),
      faceVertexIndices: faces.flat(),
    });
    expectWithin(surface, 'octant', 1.066, [1.101, 1.2679]);
  });

  it('keeps the ratio of a sixth of a cube-sphere above the known bounds (check-values 13)', () => {
    const surface = chartOf(
      gridChart(16, 16, (u, v) => {
        const p = [Math.tan((Math.PI / 4) * (2 * u - 1)), Math.tan((Math.PI / 4) * (2 * v - 1)), 1];
        const length = Math.hypot(...p);
        return p.map((x) => x / length) as [number, number, number];
      }),
    );
    expectWithin(surface, 'sixth', 1.1107, [1.1716, 1.2679]);
  });

  /**
   * Any map is above the best of all maps; the conformal one of zero scale on the border is the best of its kind
   * (Chebyshev–Grave), so it lies between that kind's bounds.
   */
  function expectWithin(
    surface: ChartSurface,
    name: string,
    any: number,
    [least, most]: readonly [number, number],
  ) {
    const spread = (method: FlattenMethod) => {
      const { faceSigma1, faceSigma2 } = measureChart(surface, flattenChart(surface, { method }).uvs);
      return Math.max(...faceSigma1) / Math.min(...faceSigma2);
    };
    const [isometric, conformal] = [spread('isometric'), spread('boundary-first')];
    console.log(
      `${name}: isometric ${isometric.toFixed(4)} (bound ${any}), conformal ${conformal.toFixed(4)} (bounds ${least}, ${most})`,
    );
    expect(isometric).toBeGreaterThan(any);
    expect(conformal).toBeGreaterThan(least);
    expect(conformal).toBeLessThan(most);
  }

  it('keeps a gore of eight above (π/8)/sin(π/8) (check-values 14)', () => {
    const n = 8;
    const [columns, rows] = [8, 32];
    const points: number[] = [0, 0, 1];
    for (let j = 1; j < rows; j++) {
      for (let i = 0; i <= columns; i++) {
        const theta = (Math.PI * j) / rows;
        const phi = ((2 * Math.PI) / n) * (i / columns);
        points.push(Math.sin(theta) * Math.cos(phi), Math.sin(theta) * Math.sin(phi), Math.cos(theta));
      }
    }
    points.push(0, 0, -1);
    const last = points.length / 3 - 1;
    const at = (j: number, i: number) => 1 + (j - 1) * (columns + 1) + i;
    const faces: number[][] = [];
    for (let i = 0; i < columns; i++) {
      faces.push([0, at(1, i), at(1, i + 1)], [last, at(rows - 1, i + 1), at(rows - 1, i)]);
      for (let j = 1; j + 1 < rows; j++) faces.push([at(j, i), at(j + 1, i), at(j + 1, i + 1), at(j, i + 1)]);
    }
    const surface = chartOf({
      points,
      faceVertexCounts: faces.map((f) => f.length),
      faceVertexIndices: faces.flat(),
    });
    const { faceSigma1, faceSigma2 } = measureChart(surface, flattenChart(surface).uvs);
    const ratio = Math.max(...faceSigma1) / Math.min(...faceSigma2);
    console.log(
      `gore of ${n}: ${ratio.toFixed(5)} (bound ${(Math.PI / n / Math.sin(Math.PI / n)).toFixed(5)})`,
    );
    expect(ratio).toBeGreaterThan(Math.PI / n / Math.sin(Math.PI / n) - 1e-3);
  });
});
