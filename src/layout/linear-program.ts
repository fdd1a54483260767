import { factorDense, solveDense } from './dense-cholesky.js';

/** Near the optimum the matrix is all but singular; pivots keep this share of their diagonal entry. */
const PIVOT_FLOOR = 1e-13;

/** Rows of a linear program: sum of values × z[columns] ≤ limit. */
export class ProgramRows {
  readonly #columns: number[] = [];
  readonly #values: number[] = [];
  readonly #offsets: number[] = [0];
  readonly #limits: number[] = [];

  get count(): number {
    return this.#limits.length;
  }

  /** Adds one term to the row being written. */
  term(column: number, value: number): void {
    if (value === 0) return;
    this.#columns.push(column);
    this.#values.push(value);
  }

  /** Ends the row being written. */
  end(limit: number): void {
    this.#offsets.push(this.#columns.length);
    this.#limits.push(limit);
  }

  freeze(): FrozenRows {
    return {
      columns: Int32Array.from(this.#columns),
      values: Float64Array.from(this.#values),
      offsets: Int32Array.from(this.#offsets),
      limits: Float64Array.from(this.#limits),
    };
  }
}

interface FrozenRows {
  readonly columns: Int32Array;
  readonly values: Float64Array;
  readonly offsets: Int32Array;
  readonly limits: Float64Array;
}

/**
 * Maximises gain · z under linear rows and a box |z[k]| ≤ box[k], by Mehrotra's predictor-corrector
 * interior point method (Mehrotra 1992; Nocedal & Wright 2006, chapter 14) on dense normal equations.
 * Made for a few hundred variables and thousands of short rows. The result may break a row by a
 * few ulps of its terms; undefined when the numbers fail.
 *
 * @param gain - worth of each variable
 */
export function maximise(rows: ProgramRows, box: Float64Array, gain: Float64Array): Float64Array | undefined {
  const n = box.length;
  for (let k = 0; k < n; k++) {
    rows.term(k, 1);
    rows.end(box[k]!);
    rows.term(k, -1);
    rows.end(box[k]!);
  }
  const { columns, values, offsets, limits } = rows.freeze();
  const m = limits.length;
  let scale = 0;
  for (let k = 0; k < n; k++) scale = Math.max(scale, box[k]!);
  const z = new Float64Array(n);
  const slack = new Float64Array(m);
  const dual = new Float64Array(m);
  for (let i = 0; i < m; i++) {
    slack[i] = Math.max(limits[i]!, 0.1 * scale);
    dual[i] = 1 / m;
  }
  const primalGap = new Float64Array(m);
  const dualGap = new Float64Array(n);
  const matrix = new Float64Array(n * n);
  const right = new Float64Array(n);
  const step = new Float64Array(n);
  const slackStep = new Float64Array(m);
  const dualStep = new Float64Array(m);
  const target = new Float64Array(m);

  const solveStep = () => {
    for (let k = 0; k < n; k++) right[k] = -dualGap[k]!;
    for (let i = 0; i < m; i++) {
      const q = (target[i]! - dual[i]! * primalGap[i]!) / slack[i]!;
      for (let k = offsets[i]!; k < offsets[i + 1]!; k++) right[columns[k]!]! += values[k]! * q;
    }
    solveDense(matrix, n, right, step);
    for (let i = 0; i < m; i++) {
      let along = 0;
      for (let k = offsets[i]!; k < offsets[i + 1]!; k++) along += values[k]! * step[columns[k]!]!;
      slackStep[i] = -primalGap[i]! - along;
      dualStep[i] = (-target[i]! - dual[i]! * slackStep[i]!) / slack[i]!;
    }
  };

  for (let iteration = 0; iteration < 60; iteration++) {
    for (let k = 0; k < n; k++) dualGap[k] = -gain[k]!;
    let mu = 0;
    let worst = 0;
    for (let i = 0; i < m; i++) {
      let along = 0;
      for (let k = offsets[i]!; k < offsets[i + 1]!; k++) {
        along += values[k]! * z[columns[k]!]!;
        dualGap[columns[k]!]! += values[k]! * dual[i]!;
      }
      primalGap[i] = along + slack[i]! - limits[i]!;
      worst = Math.max(worst, Math.abs(primalGap[i]!));
      mu += slack[i]! * dual[i]!;
    }
    let worstDual = 0;
    for (let k = 0; k < n; k++) worstDual = Math.max(worstDual, Math.abs(dualGap[k]!));
    if (mu < 1e-3 * scale && worst < 1e-7 * scale && worstDual < 1e-3) break;
    mu /= m;
    matrix.fill(0);
    for (let i = 0; i < m; i++) {
      const d = dual[i]! / slack[i]!;
      for (let a = offsets[i]!; a < offsets[i + 1]!; a++) {
        const row = columns[a]! * n;
        const va = d * values[a]!;
        for (let b = offsets[i]!; b < offsets[i + 1]!; b++)
          if (columns[b]! <= columns[a]!) matrix[row + columns[b]!]! += va * values[b]!;
      }
    }
    if (!factorDense(matrix, n, PIVOT_FLOOR)) return undefined;
    for (let i = 0; i < m; i++) target[i] = slack[i]! * dual[i]!;
    solveStep();
    const primal = ratio(slack, slackStep);
    const dualRatio = ratio(dual, dualStep);
    let after = 0;
    for (let i = 0; i < m; i++)
      after += (slack[i]! + primal * slackStep[i]!) * (dual[i]! + dualRatio * dualStep[i]!);
    const sigma = (after / m / mu) ** 3;
    for (let i = 0; i < m; i++) target[i] = slack[i]! * dual[i]! + slackStep[i]! * dualStep[i]! - sigma * mu;
    solveStep();
    const p = 0.99 * ratio(slack, slackStep);
    const q = 0.99 * ratio(dual, dualStep);
    for (let k = 0; k < n; k++) z[k]! += p * step[k]!;
    for (let i = 0; i < m; i++) {
      slack[i]! += p * slackStep[i]!;
      dual[i]! += q * dualStep[i]!;
    }
    if (!z.every(Number.isFinite)) return undefined;
  }
  return z;
}

/** Largest share of the step, up to 1/0.99, that keeps all values above 0. */
function ratio(values: Float64Array, steps: Float64Array): number {
  let least = 1 / 0.99;
  for (let i = 0; i < values.length; i++)
    if (steps[i]! < 0 && -values[i]! / steps[i]! < least) least = -values[i]! / steps[i]!;
  return least;
}
