import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { assembleSymmetric, multiply, sumTriplets } from '../../src/linalg/index.js';
import { assemble, positiveSystems, toDense } from './systems.js';

describe('assembleSymmetric', () => {
  it('sums duplicates, takes either triangle and keeps every diagonal entry', () => {
    const matrix = assembleSymmetric(3, [2, 0, 1, 1], [0, 2, 1, 1], [1, 2, 4, 8]);
    expect([...matrix.columnOffsets]).toEqual([0, 2, 3, 4]);
    expect([...matrix.entryRows]).toEqual([0, 2, 1, 2]);
    expect([...matrix.values]).toEqual([0, 3, 12, 0]);
    expect([...matrix.slots]).toEqual([1, 1, 2, 2]);
  });

  it('takes new values by the slots without assembling again', () => {
    const matrix = assembleSymmetric(2, [1, 0, 1, 1], [0, 0, 1, 1]);
    expect([...matrix.values]).toEqual([0, 0, 0]);
    expect([...sumTriplets(matrix, [-1, 2, 3, 4])]).toEqual([2, -1, 7]);
  });

  it('handles an empty matrix', () => {
    expect([...assembleSymmetric(0, [], [], []).columnOffsets]).toEqual([0]);
  });
});

describe('multiply', () => {
  it('agrees with the dense product', () => {
    fc.assert(
      fc.property(positiveSystems(12), (system) => {
        const matrix = assemble(system);
        const dense = toDense(matrix);
        const x = Float64Array.from({ length: matrix.size }, (_, i) => Math.cos(3 * i));
        const y = multiply(matrix, x);
        for (let i = 0; i < matrix.size; i++) {
          const want = dense[i]!.reduce((sum, value, j) => sum + value * x[j]!, 0);
          const scale = dense[i]!.reduce((sum, value) => sum + Math.abs(value), 0);
          expect(Math.abs(y[i]! - want)).toBeLessThanOrEqual(1e-14 * scale);
        }
      }),
    );
  });
});
