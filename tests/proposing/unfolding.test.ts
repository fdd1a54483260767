import { expect, it } from 'vitest';
import { buildMesh } from '../../src/mesh/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import { cube, joinMeshes, makeMarionette, scaleMesh, translateMesh } from '../../src/testing/index.js';

it('unfolds a small box in one piece without stretch, and into its sides where all joints come apart', async () => {
  const { mesh: body } = makeMarionette({ faces: 800 });
  const height = Math.max(...body.points.filter((_, i) => i % 3 === 1));
  const box = translateMesh(scaleMesh(cube({ n: 2 }), 0.05 * height), [0.6 * height, 0.5 * height, 0]);
  const mesh = buildMesh(joinMeshes([body, box]));
  const first = body.faceVertexCounts.length;
  const { sets } = await proposeSeams(mesh, { sets: 8 });
  expect(sets.map(({ name }) => name)).toContain('joints apart');
  for (const { name, charts } of sets) {
    const pieces = charts.filter(({ faces }) => faces[0]! >= first);
    expect(pieces.length, name).toBe(name === 'joints apart' ? 6 : 1);
    for (const { prediction } of pieces) expect(prediction.energy, name).toBeCloseTo(4, 6);
  }
});
