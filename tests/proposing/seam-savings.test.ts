import { describe, expect, it } from 'vitest';
import { buildMesh } from '../../src/mesh/index.js';
import { drawSet } from '../../src/proposing/draw-set.js';
import { placeCollars } from '../../src/proposing/place-collars.js';
import { STRATEGIES } from '../../src/proposing/strategies.js';
import { studyMesh } from '../../src/proposing/study-mesh.js';
import { jitterMesh, makeMarionette } from '../../src/testing/index.js';

describe('what seams save', () => {
  it('is the same whatever was drawn before', () => {
    // Nearly mirrored: which side is worked out must not depend on what was asked first.
    const input = jitterMesh(makeMarionette({ faces: 1400, pose: 'armsDown' }).mesh, 2e-4, 3);
    const drawIn = (order: readonly number[]) => {
      const study = studyMesh(buildMesh(input), {});
      const ground = { study, collars: placeCollars(study), stretchLimit: 4.5 };
      const drawn: unknown[] = [];
      for (const i of order) drawn[i] = drawSet(ground, i);
      return drawn;
    };
    const order = [...STRATEGIES.keys()];
    expect(drawIn(order)).toEqual(drawIn(order.slice().reverse()));
  });
});
