import { expect, it } from 'vitest';
import { buildMesh, cutMesh, measureChartTopology, seamMask } from '../../src/mesh/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import { cubeSphere, listFaces, withFaces } from '../../src/testing/index.js';

it('cuts two sheets on the same points alike, so that the seams’ names say what is cut', async () => {
  const ball = cubeSphere({ n: 6 });
  // The lower half is of two sides, as a lining.
  const low = (face: readonly number[]) => face.every((p) => ball.points[3 * p + 1]! < 0.1);
  const lining = listFaces(ball)
    .filter(low)
    .map((face) => [...face].reverse());
  const mesh = buildMesh(withFaces(ball, [...listFaces(ball), ...lining]));
  expect(mesh.shellCount).toBe(2);
  const { sets } = await proposeSeams(mesh, { sets: 8 });
  expect(sets.length).toBeGreaterThan(0);
  for (const set of sets) {
    const cut = cutMesh(mesh, seamMask(mesh, set.seams));
    expect(cut.chartCount, set.name).toBe(set.charts.length);
    expect(measureChartTopology(cut).every((chart) => chart.isDisk)).toBe(true);
  }
});
