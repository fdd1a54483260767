import fc from 'fast-check';
import { CholeskyDecomposition, LuDecomposition, Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { analyse, assembleSymmetric, LdlSolver, sumTriplets } from '../../src/linalg/index.js';
import {
  assemble,
  backwardError,
  gridEdges,
  laplacian,
  permutationOf,
  positiveSystems,
  sineVector,
  toDense,
} from './systems.js';

describe('LdlSolver', () => {
  it('solves a small system exactly', () => {
    // By hand: [[4, 2, 0], [2, 5, 3], [0, 3, 10]] [1, 2, 3] = [8, 21, 36].
    const matrix = assembleSymmetric(3, [0, 1, 1, 2, 2], [0, 0, 1, 1, 2], [4, 2, 5, 3, 10]);
    const solver = new LdlSolver(analyse(matrix)).factor(matrix.values);
    const x = solver.solve(Float64Array.of(8, 21, 36));
    for (let i = 0; i < 3; i++) expect(x[i]).toBeCloseTo(i + 1, 14);
  });

  it('solves the empty and the diagonal system', () => {
    const empty = assembleSymmetric(0, [], [], []);
    expect(new LdlSolver(analyse(empty)).factor(empty.values).solve(new Float64Array(0))).toHaveLength(0);
    const diagonal = assembleSymmetric(2, [0, 1], [0, 1], [2, 4]);
    const x = new LdlSolver(analyse(diagonal)).factor(diagonal.values).solve(Float64Array.of(1, 1));
    expect([...x]).toEqual([0.5, 0.25]);
  });

  it('has a backward error of 1e-14 at most on random positive definite systems', () => {
    fc.assert(
      fc.property(positiveSystems(60), (system) => {
        const matrix = assemble(system);
        const b = sineVector(matrix.size);
        const solver = new LdlSolver(analyse(matrix)).factor(matrix.values);
        expect(backwardError(matrix, solver.solve(b), b)).toBeLessThanOrEqual(1e-14);
      }),
      { numRuns: 300 },
    );
  });

  it.each([10, 33, 90])('has a backward error of 1e-14 at most on a grid of side %i', (side) => {
    const matrix = assemble(laplacian(side * side, gridEdges(side), [1]));
    const b = sineVector(matrix.size);
    const solver = new LdlSolver(analyse(matrix)).factor(matrix.values);
    expect(backwardError(matrix, solver.solve(b), b)).toBeLessThanOrEqual(1e-14);
  });

  it.each([1, 5, 47, 48, 49, 130])('factors a full matrix of size %i, wider than a panel or not', (size) => {
    const edges: [number, number, number][] = [];
    for (let i = 0; i < size; i++)
      for (let j = 0; j < i; j++) edges.push([i, j, 0.5 + Math.abs(Math.sin(i * 31 + j))]);
    const matrix = assemble(laplacian(size, edges, new Array<number>(size).fill(1)));
    const b = sineVector(size);
    const solver = new LdlSolver(analyse(matrix)).factor(matrix.values);
    expect(backwardError(matrix, solver.solve(b), b)).toBeLessThanOrEqual(1e-14);
  });

  it('agrees with dense Cholesky and LU factorisations', () => {
    fc.assert(
      fc.property(positiveSystems(25), (system) => {
        const matrix = assemble(system);
        const b = sineVector(matrix.size);
        const x = new LdlSolver(analyse(matrix)).factor(matrix.values).solve(b);
        const dense = new Matrix(toDense(matrix));
        const right = Matrix.columnVector([...b]);
        const cholesky = new CholeskyDecomposition(dense).solve(right).to1DArray();
        const lu = new LuDecomposition(dense).solve(right).to1DArray();
        const scale = lu.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
        for (let i = 0; i < matrix.size; i++) {
          // The condition number of these systems stays below 1e7.
          expect(Math.abs(x[i]! - cholesky[i]!)).toBeLessThanOrEqual(1e-8 * scale);
          expect(Math.abs(x[i]! - lu[i]!)).toBeLessThanOrEqual(1e-8 * scale);
        }
      }),
      { numRuns: 100 },
    );
  });

  it('gives the same solution however the unknowns are numbered', () => {
    fc.assert(
      fc.property(
        positiveSystems(40),
        fc.array(fc.double({ noNaN: true }), { minLength: 40, maxLength: 40 }),
        (system, keys) => {
          const to = permutationOf(keys.slice(0, system.size));
          const matrix = assemble(system);
          const permuted = assemble({
            ...system,
            rows: system.rows.map((i) => to[i]!),
            columns: system.columns.map((j) => to[j]!),
          });
          const b = sineVector(system.size);
          const permutedB = new Float64Array(system.size);
          for (let i = 0; i < system.size; i++) permutedB[to[i]!] = b[i]!;
          const x = new LdlSolver(analyse(matrix)).factor(matrix.values).solve(b);
          const y = new LdlSolver(analyse(permuted)).factor(permuted.values).solve(permutedB);
          const scale = x.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
          for (let i = 0; i < system.size; i++)
            expect(Math.abs(x[i]! - y[to[i]!]!)).toBeLessThanOrEqual(1e-9 * scale);
        },
      ),
      { numRuns: 100 },
    );
  });

  it('solves in place', () => {
    const matrix = assemble(laplacian(400, gridEdges(20), [1]));
    const solver = new LdlSolver(analyse(matrix)).factor(matrix.values);
    const u = sineVector(400, 1);
    const x = solver.solve(u);
    expect(solver.solve(u, u)).toBe(u);
    expect(u).toEqual(x);
  });

  it('factors again with other values of the same pattern', () => {
    const system = laplacian(400, gridEdges(20), [1]);
    const matrix = assemble(system);
    const solver = new LdlSolver(analyse(matrix)).factor(matrix.values);
    const doubled = sumTriplets(
      matrix,
      system.values.map((value) => 2 * value),
    );
    const b = sineVector(400);
    const x = solver.solve(b);
    const half = solver.factor(doubled).solve(b);
    for (let i = 0; i < 400; i++) expect(half[i]).toBeCloseTo(x[i]! / 2, 10);
    expect(solver.factor(matrix.values).solve(b)).toEqual(x);
  });

  it('returns the same bytes for the same input', () => {
    const matrix = assemble(laplacian(900, gridEdges(30), [0.01]));
    const b = sineVector(900);
    const once = new LdlSolver(analyse(matrix)).factor(matrix.values).solve(b);
    const again = new LdlSolver(analyse(matrix)).factor(matrix.values).solve(b);
    expect(Buffer.from(again.buffer).equals(Buffer.from(once.buffer))).toBe(true);
  });
});

describe('LdlSolver on matrices it must refuse', () => {
  const fails = (code: string, work: () => unknown, details: object = {}) =>
    expect(work).toThrow(expect.objectContaining({ code, details: expect.objectContaining(details) }));

  it.each([2, 7, 30, 70])('calls the Laplacian of a grid of side %i without a pin singular', (side) => {
    const matrix = assemble(laplacian(side * side, gridEdges(side), []));
    fails('MATRIX_SINGULAR', () => new LdlSolver(analyse(matrix)).factor(matrix.values));
  });

  it('names the column of an unknown that nothing holds', () => {
    const edges = gridEdges(6).filter(([i, j]) => i !== 17 && j !== 17);
    const diagonal = new Array<number>(36).fill(1);
    diagonal[17] = 0;
    const matrix = assemble(laplacian(36, edges, diagonal));
    fails('MATRIX_SINGULAR', () => new LdlSolver(analyse(matrix)).factor(matrix.values), { column: 17 });
  });

  it('names the column of a negative diagonal entry', () => {
    const diagonal = new Array<number>(36).fill(1);
    diagonal[22] = -1000;
    const matrix = assemble(laplacian(36, gridEdges(6), diagonal));
    fails('MATRIX_NOT_POSITIVE', () => new LdlSolver(analyse(matrix)).factor(matrix.values), { column: 22 });
  });

  it('refuses an indefinite matrix with a positive diagonal', () => {
    const matrix = assembleSymmetric(2, [0, 1, 1], [0, 0, 1], [1, 2, 1]);
    fails('MATRIX_NOT_POSITIVE', () => new LdlSolver(analyse(matrix)).factor(matrix.values));
  });

  it('refuses what ml-matrix calls not positive definite, and nothing else', () => {
    fc.assert(
      fc.property(positiveSystems(12), fc.double({ min: -30, max: 30, noNaN: true }), (system, shift) => {
        const rows = [...system.rows, 0];
        const columns = [...system.columns, 0];
        const matrix = assemble({ ...system, rows, columns, values: [...system.values, shift] });
        const dense = new CholeskyDecomposition(new Matrix(toDense(matrix)));
        let isAccepted = true;
        try {
          new LdlSolver(analyse(matrix)).factor(matrix.values);
        } catch {
          isAccepted = false;
        }
        expect(isAccepted).toBe(dense.isPositiveDefinite());
      }),
    );
  });

  it('refuses numbers that are none', () => {
    const matrix = assembleSymmetric(2, [0, 1, 1], [0, 0, 1], [1, Number.NaN, 1]);
    fails('MATRIX_SINGULAR', () => new LdlSolver(analyse(matrix)).factor(matrix.values));
  });

  it('factors again after a failure', () => {
    const matrix = assembleSymmetric(2, [0, 1, 1], [0, 0, 1], [2, 1, 2]);
    const solver = new LdlSolver(analyse(matrix));
    fails('MATRIX_SINGULAR', () => solver.factor(Float64Array.of(1, 1, 1)));
    expect([...solver.factor(matrix.values).solve(Float64Array.of(3, 3))]).toEqual([1, 1]);
  });
});
