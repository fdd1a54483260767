import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../src/math/index.js';
import {
  applyMatrix,
  expectSameSeams,
  mapPoints,
  rotationMatrix,
  shuffleMesh,
} from '../../src/testing/index.js';
import { characters, lawRuns, meshes, propose, seeds } from './cases.js';

const inputs = fc.oneof(
  { weight: 4, arbitrary: meshes.manifold.map(({ mesh }) => mesh) },
  { weight: 1, arbitrary: characters() },
);

describe('laws of sameness', () => {
  it('Determinism: the same input gives the same bytes, and is itself never changed', async () => {
    await fc.assert(
      fc.asyncProperty(inputs, async (input) => {
        const before = JSON.stringify(input);
        const first = await propose(input);
        const second = await propose(structuredClone(input));
        expect(JSON.stringify(second.proposal)).toBe(JSON.stringify(first.proposal));
        expect(JSON.stringify(input)).toBe(before);
      }),
      { numRuns: lawRuns(5) },
    );
  });

  it('Order: how points and faces are numbered has no say', async () => {
    await fc.assert(
      fc.asyncProperty(inputs, seeds, async (input, seed) => {
        const first = await propose(input);
        const second = await propose(shuffleMesh(input, seed).mesh);
        expect(second.proposal.sets.map(({ summary }) => summary)).toEqual(
          first.proposal.sets.map(({ summary }) => summary),
        );
        first.proposal.sets.forEach((set, i) => {
          expectSameSeams(first.mesh, set, second.mesh, second.proposal.sets[i]!);
        });
      }),
      { numRuns: lawRuns(5) },
    );
  });

  it('Similarity: place, size and the way the axes lie have no say', async () => {
    const moves = fc.record({
      power: fc.integer({ min: -3, max: 3 }),
      shift: fc.tuple(fc.integer({ min: -9, max: 9 }), fc.integer({ min: -9, max: 9 })),
      axis: fc.tuple(fc.integer({ min: 1, max: 9 }), fc.integer({ min: 1, max: 9 })),
      degrees: fc.integer({ min: 0, max: 359 }),
    });
    await fc.assert(
      fc.asyncProperty(characters(), moves, async (input, { power, shift, axis, degrees }) => {
        const turn = rotationMatrix([1, ...axis], degrees);
        const size = 10 ** power;
        const map = (p: Vec3): Vec3 => {
          const [x, y, z] = applyMatrix(turn, p);
          return [size * (x + shift[0]), size * (y + shift[1]), size * z];
        };
        const first = await propose(input);
        const second = await propose(mapPoints(input, map), {
          up: applyMatrix(turn, [0, 1, 0]),
          front: applyMatrix(turn, [0, 0, 1]),
        });
        first.proposal.sets.forEach((set, i) => {
          expectSameSeams(first.mesh, set, second.mesh, second.proposal.sets[i]!, { map });
        });
      }),
      { numRuns: lawRuns(4) },
    );
  });
});
