import fc from 'fast-check';
import { Matrix, solve } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { cutAtRandom, makeKnobbyShape } from '../../bench/prediction/charts.js';
import type { ChartStrain } from '../../src/distortion/predict-strain.js';
import { StrainSystem } from '../../src/distortion/predict-strain.js';
import type { ChartSurface, CutMesh, MeshInput } from '../../src/mesh/index.js';
import { buildMesh, cutMesh, extractCharts, seamMask } from '../../src/mesh/index.js';
import {
  cone,
  frustum,
  gridPatch,
  mapPoints,
  rotateMesh,
  scaleMesh,
  seededRandom,
  shuffleMesh,
  sphericalCap,
  triangulateMesh,
} from '../../src/testing/index.js';

/** A disk-shaped mesh by itself. */
function wholeChart(input: MeshInput): CutMesh {
  const mesh = buildMesh(input);
  return cutMesh(mesh, new Uint8Array(mesh.edgeCount));
}

/** Strain of the first chart. */
function computeStrain(cut: CutMesh): ChartStrain {
  const faces = Int32Array.from(cut.faceCharts.keys()).filter((f) => cut.faceCharts[f] === 0);
  return new StrainSystem(cut.mesh).solve(faces, cut.isSeam)!;
}

/** A patch of n × n cells with hills and hollows, one unit wide; point (i, j) is number (n + 1) j + i. */
function hillyPatch(n: number, seed = 5): MeshInput {
  const random = seededRandom(seed);
  const points: number[] = [];
  const faceVertexIndices: number[] = [];
  for (let j = 0; j <= n; j++) {
    for (let i = 0; i <= n; i++) {
      const x = (i + 0.3 * random.between(-1, 1)) / n;
      const y = (j + 0.3 * random.between(-1, 1)) / n;
      points.push(x, y, 0.15 * Math.sin(4 * x) * Math.cos(5 * y) + 0.3 * x * y);
      const p = (n + 1) * j + i;
      if (i < n && j < n) faceVertexIndices.push(p, p + 1, p + n + 2, p + n + 1);
    }
  }
  return { points, faceVertexCounts: new Array<number>(n * n).fill(4), faceVertexIndices };
}

/** Opens a mesh along edges between consecutive points. */
function slitChart(input: MeshInput, points: readonly number[]): CutMesh {
  const mesh = buildMesh(input);
  const edges = points.slice(1).map((p, i): [number, number] => [points[i]!, p]);
  return cutMesh(mesh, seamMask(mesh, [{ edges }]));
}

/** A bent honeycomb: pairs of quads of a hilly patch without the side between them. */
function honeycomb(): MeshInput {
  const patch = hillyPatch(6);
  const faces = Array.from({ length: 18 }, (_, f) => {
    const first = 7 * Math.floor(f / 3) + 2 * (f % 3);
    return [first, first + 1, first + 2, first + 9, first + 8, first + 7];
  });
  return {
    points: patch.points,
    faceVertexCounts: faces.map((face) => face.length),
    faceVertexIndices: faces.flat(),
  };
}

/** Relaxed sides that the least strain gives, by a dense system on side strains and finite differences. */
function solveDensely(chart: ChartSurface): number {
  const sides = new Map<string, number>();
  const sideOf = (a: number, b: number) => {
    const key = a < b ? `${a} ${b}` : `${b} ${a}`;
    if (!sides.has(key)) sides.set(key, sides.size);
    return sides.get(key)!;
  };
  const triangles = Array.from(chart.faces, (_, f) => [
    ...chart.cornerVertices.subarray(chart.faceOffsets[f]!, chart.faceOffsets[f + 1]!),
  ]);
  const distance = (a: number, b: number) =>
    Math.hypot(...[0, 1, 2].map((k) => chart.positions[3 * a + k]! - chart.positions[3 * b + k]!));
  const corners = triangles.map((t) => t.map((v, k) => [v, t[(k + 1) % 3]!, t[(k + 2) % 3]!] as const));
  for (const t of corners) for (const [a, b] of t) sideOf(a, b);
  const border = new Set(chart.borderLoops[0]);
  const inner = Array.from({ length: chart.vertexCount }, (_, v) => v).filter((v) => !border.has(v));
  const size = sides.size + inner.length;
  const system = Matrix.zeros(size, size);
  const right = Matrix.zeros(size, 1);
  const angle = (opposite: number, p: number, q: number) =>
    Math.acos((p * p + q * q - opposite * opposite) / (2 * p * q));
  let area = 0;
  const forms: { indices: number[]; form: Matrix; area: number }[] = [];
  for (const t of corners) {
    const [a, b, c] = t.map(([v, w]) => distance(v, w)) as [number, number, number];
    const alpha = angle(b, a, c);
    const vectors = [
      [a, 0],
      [c * Math.cos(alpha) - a, c * Math.sin(alpha)],
      [c * Math.cos(alpha), c * Math.sin(alpha)],
    ] as const;
    // Rows: the strain of each side from the tensor (ε11, ε12, ε22).
    const toSides = new Matrix(
      vectors.map(([x, y]) => [x * x, 2 * x * y, y * y].map((value) => value / (x * x + y * y))),
    );
    const toTensor = solve(toSides, Matrix.eye(3));
    const form = toTensor
      .transpose()
      .mmul(Matrix.diag([1, 2, 1]))
      .mmul(toTensor);
    const own = (a * c * Math.sin(alpha)) / 2;
    area += own;
    forms.push({ indices: t.map(([v, w]) => sideOf(v, w)), form, area: own });
  }
  for (const { indices, form, area: own } of forms)
    for (let i = 0; i < 3; i++)
      for (let j = 0; j < 3; j++) {
        const at = [indices[i]!, indices[j]!] as const;
        system.set(...at, system.get(...at) + (own / area) * form.get(i, j));
      }
  inner.forEach((v, row) => {
    let defect = 2 * Math.PI;
    for (const t of corners) {
      const k = t.findIndex(([tail]) => tail === v);
      if (k < 0) continue;
      const [, next, last] = t[k]!;
      const lengths = [distance(next, last), distance(v, next), distance(v, last)] as const;
      defect -= angle(...lengths);
      [sideOf(next, last), sideOf(v, next), sideOf(v, last)].forEach((side, i) => {
        const step = 1e-5;
        const bent = (sign: number) =>
          angle(
            ...(lengths.map((l, j) => (j === i ? l * Math.exp(sign * step) : l)) as [number, number, number]),
          );
        const slope = (bent(1) - bent(-1)) / (2 * step);
        const at = sides.size + row;
        system.set(at, side, system.get(at, side) + slope);
        system.set(side, at, system.get(side, at) + slope);
      });
    }
    right.set(sides.size + row, 0, defect);
  });
  const strains = solve(system, right).to1DArray();
  let energy = 0;
  for (const { indices, form, area: own } of forms) {
    const local = Matrix.columnVector(indices.map((i) => strains[i]!));
    energy += (4 * own * local.transpose().mmul(form).mmul(local).get(0, 0)) / area;
  }
  return energy;
}

describe('StrainSystem', () => {
  it.each([
    ['a flat patch', gridPatch(6, 4)],
    ['a bent sheet', gridPatch(8, 8, (x) => 0.4 * Math.sin(3 * x))],
    [
      'a flat patch of uneven triangles',
      triangulateMesh(mapPoints(hillyPatch(6), ([x, y]) => [x, y, 0])).mesh,
    ],
  ])('finds no strain in %s', (_, input) => {
    expect(computeStrain(wholeChart(input)).energy).toBeLessThan(1e-20);
  });

  it('finds no strain in a slit cone and none in a slit frustum', () => {
    const slitCone = slitChart(cone({ segments: 16, rows: 3 }), [0, 16, 32, 48]);
    const slitFrustum = slitChart(frustum({ segments: 16, rows: 2 }), [0, 16, 32]);
    expect(computeStrain(slitCone).energy).toBeLessThan(1e-20);
    expect(computeStrain(slitFrustum).energy).toBeLessThan(1e-20);
  });

  // A clamped plate under even load: φ = K (R² − r²)² / 64 (standard; from memory, Timoshenko & Woinowsky-Krieger
  // 1959), so the mean of 4 (Δφ)² is K² R⁴ / 48.
  it('converges to the closed form on shallow spherical caps', () => {
    const halfAngle = 6;
    const exact = ((halfAngle * Math.PI) / 180) ** 4 / 48;
    const errors = [4, 8, 16].map((rows) => {
      const chart = wholeChart(sphericalCap({ halfAngle, rows, segments: 4 * rows }));
      return Math.abs(computeStrain(chart).energy / exact - 1);
    });
    expect(errors[1]).toBeLessThan(0.4 * errors[0]!);
    expect(errors[2]).toBeLessThan(0.4 * errors[1]!);
    expect(errors[2]).toBeLessThan(0.03);
  });

  it('finds in a patch what a dead end cut and closed comes to', () => {
    fc.assert(
      fc.property(
        fc.record({ n: fc.integer({ min: 3, max: 9 }), seed: fc.nat(99), row: fc.nat(), depth: fc.nat() }),
        ({ n, seed, row, depth }) => {
          const j = 1 + (row % (n - 1));
          const points = Array.from({ length: 2 + (depth % (n - 1)) }, (_, i) => (n + 1) * j + i);
          const cut = slitChart(hillyPatch(n, seed), points);
          const { mesh, isSeam } = cut;
          const faces = Int32Array.from({ length: mesh.faceCount }, (_, f) => f);
          const edges = [...isSeam.keys()].filter((e) => isSeam[e]);
          const system = new StrainSystem(mesh);
          const both = system.solveDeadEnd(faces, isSeam, edges)!;
          const apart = {
            closed: computeStrain(cutMesh(mesh, new Uint8Array(mesh.edgeCount))),
            cut: computeStrain(cut),
          };
          expect(both.cut.energy).toBeLessThanOrEqual(both.closed.energy * (1 + 1e-9));
          for (const state of ['closed', 'cut'] as const) {
            expect(both[state].energy).toBeCloseTo(apart[state].energy, 12);
            for (const f of faces)
              expect(both[state].faceEnergies[f]).toBeCloseTo(apart[state].faceEnergies[f]!, 10);
          }
        },
      ),
      { numRuns: 60 },
    );
  });

  it('agrees with a dense solve on side strains', () => {
    for (const input of [
      triangulateMesh(sphericalCap({ halfAngle: 50, rows: 3, segments: 9 })).mesh,
      triangulateMesh(hillyPatch(6)).mesh,
    ]) {
      const cut = wholeChart(input);
      expect(computeStrain(cut).energy / solveDensely(extractCharts(cut)[0]!)).toBeCloseTo(1, 5);
    }
  });

  it('spreads its energy and growth over the faces', () => {
    const { energy, faceEnergies, faceWeights, faceGrowth } = computeStrain(wholeChart(hillyPatch(8)));
    const mean = (values: Float64Array) => values.reduce((sum, value, f) => sum + value * faceWeights[f]!, 0);
    expect(mean(faceEnergies)).toBeCloseTo(energy, 12);
    expect(faceWeights.reduce((sum, weight) => sum + weight, 0)).toBeCloseTo(1, 12);
    // No even scale helps at the least energy.
    expect(Math.abs(mean(faceGrowth))).toBeLessThan(1e-9);
  });

  it('does not depend on scale, pose, corner order or vertex order', () => {
    const input = hillyPatch(8);
    const energy = computeStrain(wholeChart(input)).energy;
    for (const other of [
      scaleMesh(input, 1e-3),
      scaleMesh(input, 1e4),
      rotateMesh(input, [1, 2, 3], 77),
      shuffleMesh(input, 9).mesh,
    ])
      expect(computeStrain(wholeChart(other)).energy / energy).toBeCloseTo(1, 9);
  });

  it('never says more after a cut: a slit only takes constraints away', () => {
    fc.assert(
      fc.property(fc.nat(1000), fc.integer({ min: 2, max: 10 }), (seed, length) => {
        const input = hillyPatch(10, seed);
        const before = computeStrain(wholeChart(input)).energy;
        // A straight slit in from one side, along a row of points.
        const first = 11 * ((seed % 7) + 2);
        const slit = Array.from({ length }, (_, i) => first + i);
        const after = computeStrain(slitChart(input, slit)).energy;
        expect(after).toBeLessThanOrEqual(before * (1 + 1e-9));
      }),
      { numRuns: 30 },
    );
  });

  it('takes polygons of any size, needles and folded quads', () => {
    const folded = mapPoints(hillyPatch(6), ([x, y, z], i) => [x, y, z + 0.1 * (i % 2)]);
    const thin = scaleMesh(hillyPatch(6), [1, 1e-4, 1]);
    for (const input of [folded, thin, triangulateMesh(thin).mesh, gridPatch(1), honeycomb()]) {
      const chart = wholeChart(input);
      const { energy, faceEnergies } = computeStrain(chart);
      expect(Number.isFinite(energy)).toBe(true);
      expect(energy).toBeGreaterThanOrEqual(-1e-12);
      for (const value of faceEnergies) expect(Number.isFinite(value)).toBe(true);
    }
  });

  it('copes with every chart of random shapes', () => {
    fc.assert(
      fc.property(fc.nat(100_000), fc.integer({ min: 1, max: 12 }), (seed, regions) => {
        const { cut, charts } = cutAtRandom(makeKnobbyShape(seed), seed, regions);
        const system = new StrainSystem(cut.mesh);
        for (const chart of charts) {
          const { energy } = system.solve(chart.faces, cut.isSeam)!;
          expect(Number.isFinite(energy) && energy >= 0).toBe(true);
        }
      }),
      { numRuns: process.env.SEAMWRIGHT_LONG ? 500 : 8 },
    );
  });
});
