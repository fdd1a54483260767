import { CholeskyDecomposition, Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { factorDense, solveDense } from '../../src/layout/dense-cholesky.js';
import { seededRandom } from '../../src/testing/index.js';

describe('factorDense and solveDense', () => {
  it('factor and solve a system worked out by hand', () => {
    // [4 2; 2 5] = L Lᵀ with L = [2 0; 1 2]; the upper triangle is not read.
    const a = Float64Array.of(4, Number.NaN, 2, 5);
    expect(factorDense(a, 2)).toBe(true);
    expect([a[0], a[2], a[3]]).toEqual([2, 1, 2]);
    const out = new Float64Array(2);
    solveDense(a, 2, Float64Array.of(8, 12), out);
    expect([...out]).toEqual([1, 2]);
  });

  it('agree with ml-matrix on random systems', () => {
    const random = seededRandom(4);
    for (const n of [1, 3, 8, 20]) {
      const root = Matrix.zeros(n, n).apply(function (this: Matrix, i, j) {
        this.set(i, j, random.between(-1, 1));
      });
      const matrix = root.mmul(root.transpose()).add(Matrix.eye(n));
      const right = Float64Array.from({ length: n }, () => random.between(-1, 1));
      const a = Float64Array.from(matrix.to1DArray());
      const out = new Float64Array(n);
      expect(factorDense(a, n)).toBe(true);
      solveDense(a, n, right, out);
      const expected = new CholeskyDecomposition(matrix).solve(Matrix.columnVector(right));
      for (let i = 0; i < n; i++) expect(out[i]).toBeCloseTo(expected.get(i, 0), 9);
    }
  });

  it('refuse what is not positive definite, but for a floor under the pivots', () => {
    const singular = () => Float64Array.of(1, 1, 1, 1);
    expect(factorDense(singular(), 2)).toBe(false);
    expect(factorDense(singular(), 2, 1e-12)).toBe(true);
    expect(factorDense(Float64Array.of(Number.NaN), 1, 1e-12)).toBe(false);
  });
});
