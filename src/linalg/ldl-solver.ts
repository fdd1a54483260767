import { NumericalError } from '../errors.js';
import type { SymbolicFactor } from './analyse.js';
import type { FactorTask } from './block-eliminator.js';
import { openCompiledEliminator } from './compiled-eliminator.js';
import { factorBlocks } from './factor-blocks.js';
import { PlainEliminator } from './plain-eliminator.js';
import { solveBlocks } from './solve-blocks.js';

export interface LdlOptions {
  /**
   * A pivot at or below this share of its diagonal entry counts as zero. Range 0..1. Rounding leaves the
   * last pivot of a singular grid Laplacian at about 2⁻⁵² × size / 30 (measured up to 90,000 unknowns).
   * @defaultValue 2⁻⁵² × max(40, size / 16)
   */
  readonly pivotTolerance?: number;
}

/**
 * Factors a symmetric positive definite matrix as P A Pᵀ = L D Lᵀ and solves with it. Factor again with
 * other values of the same pattern as often as wanted; the storage is kept.
 *
 * @example
 * const solver = new LdlSolver(analyse(matrix)).factor(matrix.values);
 * const x = solver.solve(b);
 */
export class LdlSolver {
  readonly symbolic: SymbolicFactor;
  readonly #tolerance: number;
  readonly #task: FactorTask;
  /** Made where compiled code is not to be had; its room is kept between factorisations. */
  #plain: PlainEliminator | undefined;

  constructor(symbolic: SymbolicFactor, options: LdlOptions = {}) {
    const { size, layout } = symbolic;
    this.symbolic = symbolic;
    this.#tolerance = options.pivotTolerance ?? Number.EPSILON * Math.max(40, size / 16);
    this.#task = {
      layout,
      values: new Float64Array(layout.blockOffsets[layout.count]!),
      pivots: new Float64Array(size),
      floors: new Float64Array(size),
    };
  }

  /**
   * Factors the matrix whose entries are `values`, in the order of the matrix that was analysed.
   *
   * @returns the solver itself
   * @throws MATRIX_SINGULAR when a pivot vanishes against its diagonal entry, or is not a number
   * @throws MATRIX_NOT_POSITIVE when a pivot is negative; both name the column in `details.column`
   */
  factor(values: Float64Array): this {
    const { size, order, layout, entryTargets, diagonalEntries } = this.symbolic;
    scatter(values, entryTargets, this.#task.values);
    for (let k = 0; k < size; k++)
      this.#task.floors[k] = this.#tolerance * Math.abs(values[diagonalEntries[order[k]!]!]!);
    const eliminator =
      openCompiledEliminator(this.#task) ?? (this.#plain ??= new PlainEliminator(this.#task));
    const failed = factorBlocks(eliminator, layout);
    if (failed >= 0) this.#fail(failed);
    return this;
  }

  #fail(step: number): never {
    const column = this.symbolic.order[step]!;
    const pivot = this.#task.pivots[step]!;
    const details = { column, pivot };
    if (pivot < -this.#task.floors[step]!) {
      throw new NumericalError(
        'MATRIX_NOT_POSITIVE',
        `LdlSolver.factor: the matrix is not positive definite at column ${column}, got pivot ${pivot}, expected above 0`,
        details,
      );
    }
    throw new NumericalError(
      'MATRIX_SINGULAR',
      `LdlSolver.factor: the matrix is singular at column ${column}, got pivot ${pivot}, expected above ${this.#task.floors[step]}`,
      details,
    );
  }

  /** Solves A x = b with the latest factor. Returns `out`, which may be `b`. */
  solve(b: Float64Array, out: Float64Array = new Float64Array(b.length)): Float64Array {
    const { size, order, layout } = this.symbolic;
    const x = new Float64Array(size);
    for (let k = 0; k < size; k++) x[k] = b[order[k]!]!;
    solveBlocks(layout, this.#task.values, this.#task.pivots, x);
    for (let k = 0; k < size; k++) out[order[k]!] = x[k]!;
    return out;
  }
}

/** Writes the entries into the blocks; every entry has a place of its own. */
function scatter(values: Float64Array, targets: Int32Array, blocks: Float64Array): void {
  blocks.fill(0);
  for (let k = 0; k < values.length; k++) blocks[targets[k]!] = values[k]!;
}
