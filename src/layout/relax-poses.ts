import { factorDense, solveDense } from './dense-cholesky.js';
import { SUM } from './half-overlap.js';
import type { OverlapModel, Pose } from './overlap-model.js';

/** Share of the cost that a step must gain to be followed by another. */
const LEAST_GAIN = 0.01;

/** Where the product of two motions (along x and y, the first piece's turn, the second's) is among the sums. */
const PRODUCTS = [0, 1, 3, 6, 1, 2, 4, 7, 3, 4, 5, 8, 6, 7, 8, 9] as const;

/** The normal equations of a least squares step: lower triangle and right side. */
interface StepEquations {
  readonly matrix: Float64Array;
  readonly right: Float64Array;
}

/**
 * Moves some pieces together, the others staying where they are, downhill in the weighted sum of squares of
 * what is missing to the gutters (Levenberg 1944, Marquardt 1963).
 */
export class PoseRelaxer {
  readonly #model: OverlapModel;
  readonly #perPiece: 2 | 3;
  readonly #columns: Int32Array;
  readonly #factor: Float64Array;
  readonly #step: Float64Array;
  /** The rows that are not empty, and the system of those alone. */
  readonly #touched: Int32Array;
  readonly #aim: Float64Array;
  readonly #solution: Float64Array;
  /** Of one pair: rows of what moves, which motion each is, and what a unit of it does. */
  readonly #places = new Int32Array(6);
  readonly #motions = new Int32Array(6);
  readonly #factors = new Float64Array(6);
  /** Those of the poses kept, and those of the poses tried. */
  #kept: StepEquations;
  #tried: StepEquations;

  constructor(model: OverlapModel, canTurn: boolean) {
    this.#model = model;
    this.#perPiece = canTurn ? 3 : 2;
    const n = model.count * this.#perPiece;
    this.#columns = new Int32Array(model.count).fill(-1);
    this.#factor = new Float64Array(n * n);
    this.#step = new Float64Array(n);
    this.#touched = new Int32Array(n);
    this.#aim = new Float64Array(n);
    this.#solution = new Float64Array(n);
    this.#kept = { matrix: new Float64Array(n * n), right: new Float64Array(n) };
    this.#tried = { matrix: new Float64Array(n * n), right: new Float64Array(n) };
  }

  /**
   * Returns the sum reached.
   *
   * @param members - ascending
   */
  relax(members: ArrayLike<number>, steps: number): number {
    const model = this.#model;
    const perPiece = this.#perPiece;
    const n = members.length * perPiece;
    this.#columns.fill(-1);
    for (let k = 0; k < members.length; k++) this.#columns[members[k]!] = k * perPiece;
    const step = this.#step;
    let cost = this.#linearise(members, this.#kept);
    let damping = 0.1;
    for (let k = 0; k < steps && cost > 0; k++) {
      if (!this.#solve(n, damping)) return cost;
      const poses: Pose[] = [];
      for (let m = 0; m < members.length; m++) {
        const i = members[m]!;
        const pose = model.pose(i);
        poses.push(pose);
        const turn = perPiece === 3 ? step[3 * m + 2]! / (model.radii[i]! || 1) : 0;
        model.setPose(i, {
          x: pose.x + step[perPiece * m]!,
          y: pose.y + step[perPiece * m + 1]!,
          angle: pose.angle + turn,
        });
      }
      const after = this.#linearise(members, this.#tried);
      if (after < cost) {
        const before = cost;
        cost = after;
        [this.#kept, this.#tried] = [this.#tried, this.#kept];
        damping = Math.max(1e-3, damping * 0.3);
        if (after > (1 - LEAST_GAIN) * before) return cost;
      } else {
        for (let m = 0; m < members.length; m++) model.setPose(members[m]!, poses[m]!);
        damping *= 6;
        if (damping > 100) return cost;
      }
    }
    return cost;
  }

  /** Solves the damped equations of the poses kept for the step; false when the numbers fail. */
  #solve(n: number, damping: number): boolean {
    const { matrix, right } = this.#kept;
    // Most pieces touch nothing: their rows are empty and they stay where they are.
    const touched = this.#touched;
    let m = 0;
    for (let d = 0; d < n; d++) if (matrix[d * n + d]! > 0) touched[m++] = d;
    const factor = this.#factor;
    const aim = this.#aim;
    for (let a = 0; a < m; a++) {
      const row = touched[a]! * n;
      for (let b = 0; b <= a; b++) factor[a * m + b] = matrix[row + touched[b]!]!;
      factor[a * m + a]! += damping * (factor[a * m + a]! + 1);
      aim[a] = right[touched[a]!]!;
    }
    if (!factorDense(factor, m)) return false;
    solveDense(factor, m, aim, this.#solution);
    this.#step.fill(0, 0, n);
    for (let a = 0; a < m; a++) this.#step[touched[a]!] = this.#solution[a]!;
    return true;
  }

  /** Sums the normal equations of all gaps that touch a member; returns the weighted cost. */
  #linearise(members: ArrayLike<number>, equations: StepEquations): number {
    const model = this.#model;
    const { sums, count, weights } = model;
    const columns = this.#columns;
    const n = members.length * this.#perPiece;
    equations.matrix.fill(0, 0, n * n);
    equations.right.fill(0, 0, n);
    let cost = 0;
    for (let m = 0; m < members.length; m++) {
      const i = members[m]!;
      for (let j = 0; j < count; j++) {
        if (columns[j]! >= 0 && j < i) continue;
        const first = Math.min(i, j);
        const second = Math.max(i, j);
        const at = i === j ? model.findBorderSums(i) : model.findPairSums(first, second);
        if (sums[at] === 0) continue;
        const weight = weights[i * count + j]!;
        cost += weight * sums[at]!;
        this.#add(equations, n, at, weight, first, second);
      }
    }
    return cost;
  }

  /** Adds what a pair tells of its moving pieces, i before j; or a piece of its way back into the square. */
  #add({ matrix, right }: StepEquations, n: number, at: number, weight: number, i: number, j: number): void {
    const { sums, radii } = this.#model;
    const columns = this.#columns;
    const perPiece = this.#perPiece;
    let count = 0;
    for (const piece of i === j ? [i] : [i, j]) {
      for (let d = 0; d < perPiece && columns[piece]! >= 0; d++) {
        this.#places[count] = columns[piece]! + d;
        // The second piece moves the other way, and has its own turn.
        const isSecond = piece !== i;
        this.#motions[count] = d === 2 && isSecond ? 3 : d;
        this.#factors[count++] = d === 2 ? 1 / (radii[piece]! || 1) : isSecond ? -1 : 1;
      }
    }
    for (let a = 0; a < count; a++) {
      const row = this.#places[a]! * n;
      const motion = this.#motions[a]!;
      const factor = weight * this.#factors[a]!;
      right[this.#places[a]!]! += factor * sums[at + SUM.right + motion]!;
      for (let b = 0; b <= a; b++) {
        const product = at + SUM.products + PRODUCTS[4 * motion + this.#motions[b]!]!;
        matrix[row + this.#places[b]!]! += factor * this.#factors[b]! * sums[product]!;
      }
    }
  }
}
