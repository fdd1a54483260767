import { describe, expect, it } from 'vitest';
import { measureChart } from '../../src/distortion/index.js';
import { flattenChart } from '../../src/flattening/index.js';
import type { ChartSurface, MeshInput } from '../../src/mesh/index.js';
import { chartOf, uvDistance, vertexAt, verticesAt } from './chart-of.js';
import { gridChart } from './random-charts.js';

const N = 32;

/** Tube of N flat sides, closed; `profile` gives radius and height at v. Its seam runs along the x axis. */
function tube(rows: number, profile: (v: number) => [number, number], split?: 'rising' | 'falling') {
  const input = gridChart(
    N,
    rows,
    (u, v) => {
      const [radius, height] = profile(v);
      const angle = u === 1 ? 0 : 2 * Math.PI * u;
      return [radius * Math.cos(angle), radius * Math.sin(angle), height];
    },
    split && (() => split),
  );
  const seam = Array.from({ length: rows }, (_, j) => [j * (N + 1), (j + 1) * (N + 1)] as const);
  return { input, seam };
}

/** Triangles from an apex at height h to a circle of radius r; point 0 is the apex, point 1 on the x axis. */
function makeCone(r: number, h: number, sides: number): MeshInput {
  const points = [0, 0, h];
  for (let i = 0; i < sides; i++)
    points.push(r * Math.cos((2 * Math.PI * i) / sides), r * Math.sin((2 * Math.PI * i) / sides), 0);
  const faces = Array.from({ length: sides }, (_, i) => [0, i + 1, ((i + 1) % sides) + 1]);
  return { points, faceVertexCounts: faces.map(() => 3), faceVertexIndices: faces.flat() };
}

/** A developable chart has an isometry, so its least energy is 4: standard mathematics (check-values 3 to 7). */
function flattenDevelopable(surface: ChartSurface) {
  const flat = flattenChart(surface);
  expect(flat.isInjective).toBe(true);
  expect(flat.flippedFaces).toEqual([]);
  expect(flat.energy).toBeGreaterThan(4 - 1e-9);
  expect(flat.energy).toBeLessThan(4 + 1e-9);
  const measured = measureChart(surface, flat.uvs);
  expect(measured.energyAsGiven).toBeLessThan(4 + 1e-9);
  expect(measured.stretchL2).toBeCloseTo(1, 9);
  expect(measured.quasiConformal).toBeCloseTo(1, 4);
  expect(measured.areaError).toBeCloseTo(1, 4);
  for (const s of measured.faceSigma1) expect(s).toBeCloseTo(1, 4);
  return { surface, uvs: flat.uvs, area: measured.uvArea };
}

describe('developable charts', () => {
  it.each([undefined, 'rising', 'falling'] as const)(
    'unrolls a cylinder of 32 sides to 6.27310 by its height (2N r sin(π/N)), %s',
    (split) => {
      const { input, seam } = tube(6, (v) => [1, 3 * v], split);
      const { surface, uvs } = flattenDevelopable(chartOf(input, seam));
      const [a, b] = verticesAt(surface, 1, 0, 0) as [number, number];
      expect(uvDistance(uvs, a, b)).toBeCloseTo(2 * N * Math.sin(Math.PI / N), 6);
      expect(uvDistance(uvs, a, b)).toBeCloseTo(6.2731, 5);
      expect(uvDistance(uvs, vertexAt(surface, -1, 0, 0), vertexAt(surface, -1, 0, 3))).toBeCloseTo(3, 6);
    },
  );

  it('leaves the cap of the cylinder as it is: area 3.12145 ((N/2) r² sin(2π/N)), one face of 32 corners', () => {
    const points = Array.from({ length: N }, (_, i) => {
      const angle = (2 * Math.PI * i) / N;
      return [Math.cos(angle), Math.sin(angle), 0];
    }).flat();
    const corners = Array.from({ length: N }, (_, i) => i);
    const { area } = flattenDevelopable(
      chartOf({ points, faceVertexCounts: [N], faceVertexIndices: corners }),
    );
    expect(area).toBeCloseTo(3.12145, 5);
  });

  // The fan's angle is 2N asin((r/s) sin(π/N)), for many sides 2πr/s: 180° and 216°.
  it.each([
    [1, Math.sqrt(3), 32, 179.783, 3],
    [1, Math.sqrt(3), 400, 180, 2],
    [3, 4, 32, (360 / Math.PI) * 32 * Math.asin(0.6 * Math.sin(Math.PI / 32)), 6],
    [3, 4, 400, 216, 1],
  ])('unrolls a cone with r = %s, h = %s of %s sides to %s°', (r, h, sides, expected, digits) => {
    const cone = makeCone(r, h, sides);
    const { surface, uvs, area } = flattenDevelopable(chartOf(cone, [[0, 1]]));
    const s = Math.hypot(r, h);
    const apex = vertexAt(surface, 0, 0, h);
    const [a, b] = verticesAt(surface, r, 0, 0) as [number, number];
    expect(uvDistance(uvs, apex, a)).toBeCloseTo(s, 6);
    const half = (Math.asin(uvDistance(uvs, a, b) / (2 * s)) * 180) / Math.PI;
    expect(expected > 180 ? 360 - 2 * half : 2 * half).toBeCloseTo(expected, digits);
    if (sides > 100) expect(area / (Math.PI * r * s)).toBeCloseTo(1, 3);
    // The defect of the apex, 2π(1 − r/s), stays where the seam does not touch it.
    expect(flattenChart(chartOf(cone)).energy).toBeGreaterThan(4.1);
  });

  it('unrolls a frustum (R = 2, r = 1, h = √3) between radii 4 and 2 over half a turn', () => {
    const { input, seam } = tube(4, (v) => [2 - v, Math.sqrt(3) * v]);
    const { surface, uvs, area } = flattenDevelopable(chartOf(input, seam));
    // N-sided: the angle of the fan, and the areas of the trapezia. Smooth: 180° and 6π.
    const [a, b] = verticesAt(surface, 2, 0, 0) as [number, number];
    const angle = 2 * N * Math.asin((2 * Math.sin(Math.PI / N)) / 4);
    expect(uvDistance(uvs, a, b)).toBeCloseTo(2 * 4 * Math.sin(angle / 2), 6);
    expect(Math.abs(area / (6 * Math.PI) - 1)).toBeLessThan(0.005);
  });

  it('lays a cube cut along a spanning tree of 7 edges out with area 6 and perimeter 14', () => {
    const { surface, uvs, area } = flattenDevelopable(chartOf(CUBE, CUBE_TREE));
    expect(surface.vertexCount).toBe(14);
    expect(area).toBeCloseTo(6, 9);
    const border = surface.borderLoops[0]!;
    const sides = Array.from(border, (v, i) => uvDistance(uvs, v, border[(i + 1) % border.length]!));
    expect(sides.reduce((sum, side) => sum + side, 0)).toBeCloseTo(14, 8);
  });

  it('does not mind how the model is scaled or placed', () => {
    const { input, seam } = tube(3, (v) => [1, 2 * v]);
    for (const scale of [1e-3, 1e3]) {
      const points = Array.from(input.points, (x, i) => scale * (x + [7, -3, 5][i % 3]!));
      flattenDevelopable(chartOf({ ...input, points }, seam));
    }
  });
});

const CUBE_FACES = [
  [0, 3, 2, 1],
  [4, 5, 6, 7],
  [0, 1, 5, 4],
  [1, 2, 6, 5],
  [2, 3, 7, 6],
  [3, 0, 4, 7],
];
const CUBE: MeshInput = {
  points: [0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, 0, 0, 1, 1, 0, 1, 1, 1, 1, 0, 1, 1],
  faceVertexCounts: CUBE_FACES.map(() => 4),
  faceVertexIndices: CUBE_FACES.flat(),
};
const CUBE_TREE: [number, number][] = [
  [4, 5],
  [5, 6],
  [6, 7],
  [0, 4],
  [1, 5],
  [2, 6],
  [3, 7],
];
