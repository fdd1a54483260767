import fc from 'fast-check';
import { Matrix, solve } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { eliminateFront, openFront } from '../../src/linalg/index.js';
import { seededRandom } from '../../src/testing/index.js';

/** A random symmetric matrix with a diagonal that keeps it positive definite. */
function positiveMatrix(size: number, seed: number): Matrix {
  const random = seededRandom(seed);
  const root = Matrix.zeros(size, size);
  for (let i = 0; i < size; i++) for (let j = 0; j < size; j++) root.set(i, j, random.between(-1, 1));
  return root.mmul(root.transpose()).add(Matrix.eye(size));
}

/** The lower triangle of a range of rows and columns, row by row. */
const packTriangle = (matrix: Matrix, from: number, to: number): Float64Array =>
  Float64Array.from(
    Array.from({ length: to - from }, (_, i) => i).flatMap((i) =>
      Array.from({ length: i + 1 }, (_, j) => matrix.get(from + i, from + j)),
    ),
  );

describe('eliminateFront', () => {
  it('leaves the Schur complement, and L of what is eliminated', () => {
    fc.assert(
      fc.property(fc.nat(60), fc.nat(30), fc.nat(1000), (width, below, seed) => {
        const size = width + below;
        const matrix = positiveMatrix(size, seed);
        const front = openFront(width, size);
        // Given as the matrix of some other piece, in part, and as its own.
        const half = packTriangle(matrix, 0, size).map((value) => value / 2);
        for (let i = 0; i < size; i++)
          for (let j = 0; j < Math.min(width, i + 1); j++) front.block[i * width + j] = matrix.get(i, j) / 2;
        front.update.set(packTriangle(matrix, width, size).map((value) => value / 2));
        const positions = Array.from({ length: size }, (_, i) => i);
        expect(eliminateFront(front, [{ update: half, positions }], new Float64Array(width))).toBe(-1);
        if (width === 0 || below === 0) return;
        const a = matrix.subMatrix(0, width - 1, 0, width - 1);
        const b = matrix.subMatrix(width, size - 1, 0, width - 1);
        const schur = matrix.subMatrix(width, size - 1, width, size - 1).sub(b.mmul(solve(a, b.transpose())));
        packTriangle(schur, 0, below).forEach((value, k) => {
          expect(Math.abs(front.update[k]! - value)).toBeLessThan(1e-9 * size);
        });
        const lower = Matrix.eye(width);
        for (let i = 0; i < width; i++)
          for (let j = 0; j < i; j++) lower.set(i, j, front.block[i * width + j]!);
        const l = new Matrix(below, width);
        for (let i = 0; i < below; i++)
          for (let j = 0; j < width; j++) l.set(i, j, front.block[(width + i) * width + j]!);
        // B = L21 D L11ᵀ, so A X = Bᵀ has X = L11⁻ᵀ L21ᵀ.
        const x = solve(lower.transpose(), l.transpose());
        expect(x.sub(solve(a, b.transpose())).abs().max()).toBeLessThan(1e-9 * size);
      }),
      { numRuns: 80 },
    );
  });

  it('names the unknown whose pivot is at or below its floor', () => {
    const front = openFront(2, 3);
    // 4, 2 | 2, 1: the second pivot is 0.
    front.block.set([4, 0, 2, 1, 1, 1]);
    expect(eliminateFront(front, [], Float64Array.of(0, 0))).toBe(1);
  });
});
