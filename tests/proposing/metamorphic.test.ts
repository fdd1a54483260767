import { describe, expect, it } from 'vitest';
import type { MeshInput } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import {
  jitterMesh,
  makeMarionette,
  shuffleMesh,
  subdivideMesh,
  triangulateMesh,
} from '../../src/testing/index.js';
import { seamDistance, seamSegments } from './seam-distance.js';

const HEIGHT = 1.8;
const options = { faces: 1000, hasToes: false } as const;
const rest = makeMarionette(options).mesh;
/** Faces start at any corner, and so their diagonals run any way. */
const shuffled = shuffleMesh(rest, 5);

/** The same body otherwise: posed, or meshed anew. Points of the body at rest keep their numbers in all of them. */
const CHANGES: readonly (readonly [string, MeshInput, Float64Array])[] = [
  ['arms raised to a T', makeMarionette({ ...options, pose: 't' }).mesh, rest.points],
  [
    'one arm down, one forward',
    makeMarionette({ ...options, pose: { left: { armLift: -25 }, right: { armLift: 20, armSwing: 30 } } })
      .mesh,
    rest.points,
  ],
  ['split into triangles', triangulateMesh(rest).mesh, rest.points],
  [
    'split into triangles along diagonals that do not mirror',
    triangulateMesh(shuffled.mesh).mesh,
    shuffled.mesh.points,
  ],
  ['subdivided once', subdivideMesh(rest).mesh, subdivideMesh(rest).mesh.points],
  ['with noise of 0.2 % of the height', jitterMesh(rest, 0.002 * HEIGHT, 3), rest.points],
];

describe('seams move by less than 2 % of the height on average', async () => {
  const base = await proposeSeams(buildMesh(rest));
  it.each(CHANGES)('%s', async (_, changed, restPoints) => {
    const { sets } = await proposeSeams(buildMesh(changed), { sets: 8 });
    const first = base.sets[0]!;
    const same = sets.find(({ name }) => name === first.name);
    expect(same, `a set named ${first.name}`).toBeDefined();
    const moved = seamDistance(seamSegments(first.seams, rest.points), seamSegments(same!.seams, restPoints));
    expect(moved / HEIGHT).toBeLessThan(0.02);
  });
});
