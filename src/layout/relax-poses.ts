import { factorDense, solveDense } from './dense-cholesky.js';
import type { OverlapModel } from './overlap-model.js';
import { ROW } from './overlap-model.js';

export interface RelaxOptions {
  readonly canTurn: boolean;
  readonly steps: number;
}

/** Share of the cost that a step must gain to be followed by another. */
const LEAST_GAIN = 0.01;

/**
 * Moves some pieces together, the others staying where they are, downhill in the weighted sum of squares of
 * what is missing to the gutters (Levenberg 1944, Marquardt 1963). Returns the sum reached.
 */
export function relaxPoses(model: OverlapModel, members: ArrayLike<number>, options: RelaxOptions): number {
  const { canTurn, steps } = options;
  const perPiece = canTurn ? 3 : 2;
  const n = members.length * perPiece;
  const matrix = new Float64Array(n * n);
  const right = new Float64Array(n);
  const factor = new Float64Array(n * n);
  const step = new Float64Array(n);
  const columns = new Int32Array(model.count).fill(-1);
  for (let k = 0; k < members.length; k++) columns[members[k]!] = k * perPiece;
  let cost = linearise(model, members, columns, canTurn, matrix, right);
  let damping = 0.1;
  for (let k = 0; k < steps && cost > 0; k++) {
    factor.set(matrix);
    for (let d = 0; d < n; d++) factor[d * n + d]! += damping * (matrix[d * n + d]! + 1);
    if (!factorDense(factor, n)) return cost;
    solveDense(factor, n, right, step);
    const kept = Array.from(members, (i) => model.pose(i));
    for (let m = 0; m < members.length; m++) {
      const i = members[m]!;
      const { x, y, angle } = kept[m]!;
      const turn = canTurn ? step[3 * m + 2]! / (model.radii[i]! || 1) : 0;
      model.setPose(i, { x: x + step[perPiece * m]!, y: y + step[perPiece * m + 1]!, angle: angle + turn });
    }
    const before = cost;
    const after = linearise(model, members, columns, canTurn, matrix, right);
    if (after < cost) {
      cost = after;
      damping = Math.max(1e-3, damping * 0.3);
      if (after > (1 - LEAST_GAIN) * before) return cost;
    } else {
      for (let m = 0; m < members.length; m++) model.setPose(members[m]!, kept[m]!);
      damping *= 6;
      if (damping > 100) return cost;
      linearise(model, members, columns, canTurn, matrix, right);
    }
  }
  return cost;
}

/** Sums the normal equations of all gaps that touch a member; returns the weighted cost. */
function linearise(
  model: OverlapModel,
  members: ArrayLike<number>,
  columns: Int32Array,
  canTurn: boolean,
  matrix: Float64Array,
  right: Float64Array,
): number {
  const n = right.length;
  matrix.fill(0);
  right.fill(0);
  let cost = 0;
  const values = new Float64Array(6);
  const places = new Int32Array(6);
  const addRows = (end: number, i: number, j: number, weight: number) => {
    const { rows } = model;
    const ci = columns[i]!;
    const cj = j < 0 ? -1 : columns[j]!;
    const perI = 1 / (model.radii[i]! || 1);
    const perJ = j < 0 ? 0 : 1 / (model.radii[j]! || 1);
    let m = 0;
    if (ci >= 0) for (let d = 0; d < (canTurn ? 3 : 2); d++) places[m++] = ci + d;
    if (cj >= 0) for (let d = 0; d < (canTurn ? 3 : 2); d++) places[m++] = cj + d;
    for (let o = 0; o < end; o += ROW) {
      const w = weight * rows[o + 5]!;
      const missing = rows[o]!;
      cost += w * missing * missing;
      let k = 0;
      if (ci >= 0) {
        values[k++] = rows[o + 1]!;
        values[k++] = rows[o + 2]!;
        if (canTurn) values[k++] = rows[o + 3]! * perI;
      }
      if (cj >= 0) {
        values[k++] = -rows[o + 1]!;
        values[k++] = -rows[o + 2]!;
        if (canTurn) values[k++] = rows[o + 4]! * perJ;
      }
      for (let a = 0; a < m; a++) {
        const wa = w * values[a]!;
        const row = places[a]! * n;
        right[places[a]!]! += wa * missing;
        for (let b = 0; b < m; b++) matrix[row + places[b]!]! += wa * values[b]!;
      }
    }
  };
  for (let m = 0; m < members.length; m++) {
    const i = members[m]!;
    addRows(model.findBorderRows(i), i, -1, model.weights[i * (model.count + 1)]!);
    for (let j = 0; j < model.count; j++) {
      if (j === i || (columns[j]! >= 0 && j < i)) continue;
      const end = model.findPairRows(i, j);
      if (end > 0) addRows(end, i, j, model.weights[i * model.count + j]!);
    }
  }
  return cost;
}
