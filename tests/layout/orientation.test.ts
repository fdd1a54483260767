import { describe, expect, it } from 'vitest';
import type { FlatChartLike } from '../../src/layout/index.js';
import { arrangeCharts } from '../../src/layout/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { flatPolygons, HOOK, placedPolygons, rectangle } from './flat-polygons.js';

type Vec3 = readonly [number, number, number];

/** A sheet of m × n unit quads with its corner uvs turned by an angle; `lift` puts a sheet point into space. */
function sheet(m: number, n: number, angle: number, lift: (x: number, y: number) => Vec3) {
  const points: number[] = [];
  for (let j = 0; j <= n; j++) for (let i = 0; i <= m; i++) points.push(...lift(i, j));
  const indices: number[] = [];
  const uvs: number[] = [];
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  for (let j = 0; j < n; j++) {
    for (let i = 0; i < m; i++) {
      for (const [x, y] of [
        [i, j],
        [i + 1, j],
        [i + 1, j + 1],
        [i, j + 1],
      ] as const) {
        indices.push(y * (m + 1) + x);
        uvs.push(c * x - s * y, s * x + c * y);
      }
    }
  }
  const mesh = buildMesh({ points, faceVertexCounts: new Array(m * n).fill(4), faceVertexIndices: indices });
  const chart: FlatChartLike = {
    faces: Array.from({ length: m * n }, (_, f) => f),
    corners: Array.from({ length: 4 * m * n }, (_, k) => k),
    uvs,
  };
  return { mesh, chart };
}

const standing = { rotation: 'none', effort: 0 } as const;

/** How far two angles differ, in radians. */
const apart = (a: number, b: number) => Math.abs(Math.atan2(Math.sin(a - b), Math.cos(a - b)));

describe('orientation', () => {
  it('stands a chart up by the model, whatever way it was flattened and whichever axis is up', () => {
    for (const angle of [0, 0.7, 2, -2.9]) {
      const ups: [Vec3, Vec3, (x: number, y: number) => Vec3][] = [
        [[0, 1, 0], [0, 0, 1], (x, y) => [x, y, 0]],
        [[0, 0, 1], [0, -1, 0], (x, y) => [x, 0, y]],
        [[-1, 0, 0], [0, 0, 1], (x, y) => [-y, x, 0]],
      ];
      for (const [up, front, lift] of ups) {
        const { mesh, chart } = sheet(4, 3, angle, lift);
        const { charts } = arrangeCharts(mesh, { charts: [chart] }, { ...standing, up, front });
        expect(apart(charts[0]!.rotation, -angle)).toBeLessThan(1e-9);
      }
    }
  });

  it('stands the front-centre line of a symmetric chart upright, however it was flattened', () => {
    for (const angle of [0, 1.1, -2.4]) {
      // A vest: wider than high, bent back at both sides; its centre line is x = 3.
      const { mesh, chart } = sheet(6, 3, angle, (x, y) => [x - 3, y, -((x - 3) ** 2) / 8]);
      const centred = { ...chart, side: 'centre' };
      const { uvs } = arrangeCharts(mesh, { charts: [centred] }, standing);
      const line: [number, number][] = [];
      for (let c = 0; c < mesh.cornerCount; c++)
        if (Math.abs(mesh.points[3 * mesh.cornerPoints[c]!]!) < 1e-9)
          line.push([uvs[2 * c]!, mesh.points[3 * mesh.cornerPoints[c]! + 1]!]);
      expect(line.length).toBeGreaterThan(4);
      for (const [u] of line) expect(Math.abs(u - line[0]![0])).toBeLessThan(1e-9);
    }
  });

  it('stands a level arm along its axis, the end near the body on top', () => {
    // A tube along x, cut along its underside: its height rises from both sides to the middle.
    const tube = (x: number, y: number): Vec3 => {
      const turn = (2 * Math.PI * y) / 6 - Math.PI / 2;
      return [2 + x, Math.sin(turn), Math.cos(turn)];
    };
    const { mesh, chart } = sheet(12, 6, 0.3, tube);
    // The body lies at the origin: a speck there moves the model's middle towards it.
    const body = { ...mesh, points: mesh.points };
    const { charts } = arrangeCharts(body, { charts: [chart] }, standing);
    // Along +x on the sheet is along the arm; up or down both stand it along its axis.
    const turned = charts[0]!.rotation + 0.3;
    expect(Math.abs(Math.cos(turned))).toBeLessThan(1e-6);
  });

  it('turns mirror images as mirror images, within 1e-6', () => {
    const image = HOOK.map(([x, y]) => [-x, y] as const).reverse();
    const { mesh, flat } = flatPolygons([HOOK, image, rectangle(2, 2)]);
    const charts = flat.charts.map((chart, i) => (i === 1 ? { ...chart, mirrorOf: 0 } : chart));
    const layout = arrangeCharts(mesh, { charts }, { ...standing, effort: 0.2 });
    const [a, b] = placedPolygons(layout, { charts });
    const mirrored = b!.map(([x, y]) => [-x, y] as const).reverse();
    const shift = [mirrored[0]![0] - a![0]![0], mirrored[0]![1] - a![0]![1]] as const;
    mirrored.forEach(([x, y], k) => {
      expect(Math.abs(x - a![k]![0] - shift[0])).toBeLessThan(1e-6);
      expect(Math.abs(y - a![k]![1] - shift[1])).toBeLessThan(1e-6);
    });
    expect(layout.charts[1]!.rotation).toBeCloseTo(-layout.charts[0]!.rotation, 12);
    expect(layout.charts.some((chart) => chart.mirrored)).toBe(false);
  });
});
