import { determinant, Matrix, SingularValueDecomposition } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { flattenChart } from '../../src/flattening/index.js';
import { alignToPins, listPinTargets } from '../../src/flattening/pins.js';
import { chartOf, vertexAt } from './chart-of.js';
import { gridChart, seededRandom } from './random-charts.js';

const bumpy = () => chartOf(gridChart(10, 10, (u, v) => [u, v, 0.2 * Math.sin(4 * u) * Math.cos(3 * v)]));

describe('pins', () => {
  it('bring points to their places exactly, without flips or overlaps', () => {
    const surface = bumpy();
    const corners = [
      vertexAt(surface, 0, 0, 0),
      vertexAt(surface, 1, 0, 0.2 * Math.sin(4)),
      vertexAt(surface, 1, 1, 0.2 * Math.sin(4) * Math.cos(3)),
      vertexAt(surface, 0, 1, 0),
    ];
    const places = [
      [3, 3],
      [4.1, 2.9],
      [4.2, 4],
      [3.1, 4.2],
    ] as const;
    const points = corners.map((vertex, i) => ({ vertex, uv: places[i]! }));
    const flat = flattenChart(surface, { pins: { points } });
    expect(flat.isInjective).toBe(true);
    expect(flat.flippedFaces).toEqual([]);
    for (const { vertex, uv } of points) {
      expect(flat.uvs[2 * vertex]).toBeCloseTo(uv[0], 9);
      expect(flat.uvs[2 * vertex + 1]).toBeCloseTo(uv[1], 9);
    }
  });

  it('turn and move a chart by one or two points that its free shape fits, at no cost', () => {
    const surface = bumpy();
    const free = flattenChart(surface);
    const [a, b] = [0, surface.vertexCount - 1];
    const d = Math.hypot(free.uvs[2 * a]! - free.uvs[2 * b]!, free.uvs[2 * a + 1]! - free.uvs[2 * b + 1]!);
    const flat = flattenChart(surface, {
      pins: {
        points: [
          { vertex: a, uv: [1, 1] },
          { vertex: b, uv: [1, 1 + d] },
        ],
      },
    });
    expect(flat.energy).toBeCloseTo(free.energy, 5);
    expect(flat.uvs[2 * b + 1]).toBeCloseTo(1 + d, 9);
  });

  it('lay a line straight and upright, such as the front centre', () => {
    const surface = bumpy();
    const line = Array.from({ length: 11 }, (_, j) =>
      vertexAt(surface, 0.5, j / 10, 0.2 * Math.sin(2) * Math.cos(0.3 * j)),
    );
    for (const at of [undefined, 5]) {
      const flat = flattenChart(surface, {
        pins: { lines: [{ vertices: line, direction: 'vertical', at }] },
      });
      expect(flat.isInjective).toBe(true);
      for (const v of line) expect(flat.uvs[2 * v]).toBeCloseTo(at ?? flat.uvs[2 * line[0]!]!, 9);
      for (let j = 1; j < line.length; j++)
        expect(flat.uvs[2 * line[j]! + 1]).toBeGreaterThan(flat.uvs[2 * line[j - 1]! + 1]!);
      expect(flat.energy).toBeLessThan(flattenChart(surface).energy * 1.05);
    }
    const flat = flattenChart(surface, {
      pins: { lines: [{ vertices: line, direction: 'horizontal', at: -2 }] },
    });
    for (const v of line) expect(flat.uvs[2 * v + 1]).toBeCloseTo(-2, 9);
  });

  it('hold the whole border in a square', () => {
    const surface = bumpy();
    const border = surface.borderLoops[0]!;
    const borderUvs = Float64Array.from(
      [...border].flatMap((v) => [surface.positions[3 * v]!, surface.positions[3 * v + 1]!]),
    );
    const flat = flattenChart(surface, { borderUvs });
    expect(flat.isInjective).toBe(true);
    expect(flat.flippedFaces).toEqual([]);
    border.forEach((v, i) => {
      expect(flat.uvs[2 * v]).toBeCloseTo(borderUvs[2 * i]!, 12);
      expect(flat.uvs[2 * v + 1]).toBeCloseTo(borderUvs[2 * i + 1]!, 12);
    });
  });

  it('hold a border with a notch, where no barycentric map will do', () => {
    const surface = bumpy();
    const border = surface.borderLoops[0]!;
    const borderUvs = Float64Array.from(
      [...border].flatMap((v) => {
        const [x, y] = [surface.positions[3 * v]!, surface.positions[3 * v + 1]!];
        return [x, y === 0 ? 0.25 * Math.sin(Math.PI * x) : y];
      }),
    );
    const flat = flattenChart(surface, { borderUvs });
    expect(flat.isInjective).toBe(true);
    border.forEach((v, i) => {
      expect(flat.uvs[2 * v + 1]).toBeCloseTo(borderUvs[2 * i + 1]!, 9);
    });
  });

  it.each([
    ['all on one point', [0, 5, 9].map((vertex) => ({ vertex, uv: [1, 1] as const }))],
    [
      'one vertex at two places',
      [
        { vertex: 3, uv: [0, 0] as const },
        { vertex: 3, uv: [1, 0] as const },
      ],
    ],
  ])('contradict: %s', (_name, points) => {
    expect(() => flattenChart(bumpy(), { pins: { points } })).toThrow(
      expect.objectContaining({ code: 'PIN_CONFLICT' }),
    );
  });

  it('contradict when a face would have to turn over', () => {
    const surface = chartOf({
      points: [0, 0, 0, 1, 0, 0, 0, 1, 0],
      faceVertexCounts: [3],
      faceVertexIndices: [0, 1, 2],
    });
    const points = [
      { vertex: 0, uv: [0, 0] as const },
      { vertex: 1, uv: [0, 1] as const },
      { vertex: 2, uv: [1, 0] as const },
    ];
    expect(() => flattenChart(surface, { pins: { points } })).toThrow(
      expect.objectContaining({ code: 'PIN_CONFLICT' }),
    );
  });

  it('must name vertices of the chart, and numbers', () => {
    for (const point of [
      { vertex: 1e6, uv: [0, 0] as const },
      { vertex: 0, uv: [Number.NaN, 0] as const },
    ]) {
      expect(() => flattenChart(bumpy(), { pins: { points: [point] } })).toThrow(
        expect.objectContaining({ code: 'OPTION_INVALID' }),
      );
    }
  });
});

describe('the turn, scale and move that fit pins best', () => {
  it('are those of the singular value decomposition of ml-matrix (Umeyama 1991)', () => {
    const random = seededRandom(12);
    for (let round = 0; round < 20; round++) {
      const count = 2 + (round % 6);
      const uvs = Float64Array.from({ length: 2 * count }, () => 2 * random() - 1);
      const goals = Array.from({ length: count }, () => [3 * random(), 3 * random()] as const);
      const pins = { points: goals.map((uv, vertex) => ({ vertex, uv })) };
      const aligned = alignToPins(uvs, listPinTargets(pins, count, 1), 1);
      const sources = new Matrix(Array.from({ length: count }, (_, i) => [uvs[2 * i]!, uvs[2 * i + 1]!]));
      const targets = new Matrix(goals.map((uv) => [...uv]));
      const [from, to] = [sources.mean('column'), targets.mean('column')];
      const centred = sources.clone().subRowVector(from);
      const { leftSingularVectors, rightSingularVectors, diagonal } = new SingularValueDecomposition(
        targets.clone().subRowVector(to).transpose().mmul(centred),
      );
      // A reflection is no turn: where the best orthogonal map is one, the lesser singular value changes sides.
      const product = leftSingularVectors.mmul(rightSingularVectors.transpose());
      const sign = Math.sign(determinant(product));
      const signs = Matrix.diag([1, sign]);
      const turn = leftSingularVectors.mmul(signs).mmul(rightSingularVectors.transpose());
      const scale = (diagonal[0]! + sign * diagonal[1]!) / centred.norm('frobenius') ** 2;
      const expected = centred.mmul(turn.transpose()).mul(scale).addRowVector(to);
      for (let i = 0; i < count; i++)
        for (const k of [0, 1]) expect(aligned[2 * i + k]).toBeCloseTo(expected.get(i, k), 9);
    }
  });
});
