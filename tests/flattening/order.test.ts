import { describe, expect, it } from 'vitest';
import { flattenChart } from '../../src/flattening/index.js';
import type { MeshInput } from '../../src/mesh/index.js';
import { chartOf } from './chart-of.js';
import { RANDOM_CHARTS, seededRandom } from './random-charts.js';

/** The same surface with points, faces and first corners in another order. */
function shuffled(input: MeshInput, random: () => number): MeshInput {
  const shuffle = (n: number) => {
    const order = Array.from({ length: n }, (_, i) => i);
    for (let i = n - 1; i > 0; i--) {
      const j = Math.floor(random() * (i + 1));
      [order[i], order[j]] = [order[j]!, order[i]!];
    }
    return order;
  };
  const pointOrder = shuffle(input.points.length / 3);
  const newIndex = new Int32Array(pointOrder.length);
  pointOrder.forEach((old, i) => {
    newIndex[old] = i;
  });
  let at = 0;
  const faces = Array.from(input.faceVertexCounts, (n) => {
    const corners = Array.from({ length: n }, (_, i) => newIndex[input.faceVertexIndices[at + i]!]!);
    at += n;
    const first = Math.floor(random() * n);
    return [...corners.slice(first), ...corners.slice(0, first)];
  });
  const mixed = shuffle(faces.length).map((f) => faces[f]!);
  return {
    points: pointOrder.flatMap((p) => [0, 1, 2].map((k) => input.points[3 * p + k]!)),
    faceVertexCounts: mixed.map((f) => f.length),
    faceVertexIndices: mixed.flat(),
  };
}

describe('the order of points, faces and corners', () => {
  it.each(['terrain', 'noisyCap', 'comb'])('has no say in the energy: %s', (kind) => {
    for (let seed = 0; seed < 5; seed++) {
      const input = RANDOM_CHARTS[kind]!(seededRandom(seed));
      const energy = flattenChart(chartOf(input), { tolerance: 1e-10 }).energy;
      const other = flattenChart(chartOf(shuffled(input, seededRandom(seed + 100))), {
        tolerance: 1e-10,
      }).energy;
      expect(Math.abs(other / energy - 1)).toBeLessThan(1e-4);
    }
  });
});
