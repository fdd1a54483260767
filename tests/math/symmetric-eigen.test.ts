import fc from 'fast-check';
import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import type { Symmetric3 } from '../../src/math/index.js';
import { dot, symmetricEigenvectors } from '../../src/math/index.js';

const rows = ([xx, xy, xz, yy, yz, zz]: Symmetric3) => [
  [xx, xy, xz],
  [xy, yy, yz],
  [xz, yz, zz],
];

describe('symmetricEigenvectors', () => {
  it('gives the axes of a diagonal matrix, least value first', () => {
    expect(symmetricEigenvectors([3, 0, 0, 1, 0, 2])).toEqual([
      [0, 1, 0],
      [0, 0, 1],
      [1, 0, 0],
    ]);
  });

  it('gives the diagonals of [2 1; 1 2] with values 1 and 3', () => {
    const [least, , most] = symmetricEigenvectors([2, 1, 0, 2, 0, 2]);
    expect(Math.abs(dot(least, [Math.SQRT1_2, -Math.SQRT1_2, 0]))).toBeCloseTo(1, 12);
    expect(Math.abs(dot(most, [Math.SQRT1_2, Math.SQRT1_2, 0]))).toBeCloseTo(1, 12);
  });

  it('agrees with ml-matrix, and its vectors are orthonormal', () => {
    // Hundredths, since ml-matrix gives NaN for numbers near the least there are.
    const entry = fc.integer({ min: -1000, max: 1000 }).map((n) => n / 100);
    fc.assert(
      fc.property(fc.tuple(entry, entry, entry, entry, entry, entry), (matrix) => {
        const vectors = symmetricEigenvectors(matrix);
        const solved = new EigenvalueDecomposition(new Matrix(rows(matrix)), { assumeSymmetric: true });
        const expected = [...solved.realEigenvalues].sort((a, b) => a - b);
        vectors.forEach((vector, i) => {
          const image = rows(matrix).map((row) => dot(row as [number, number, number], vector));
          image.forEach((x, k) => {
            expect(x).toBeCloseTo(expected[i]! * vector[k]!, 8);
          });
          vectors.forEach((other, j) => {
            expect(dot(vector, other)).toBeCloseTo(i === j ? 1 : 0, 12);
          });
        });
      }),
    );
  });
});
