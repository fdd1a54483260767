import { Matrix, solve } from 'ml-matrix';

/** How a true path compares with another one between the same ends. */
export interface PathComparison {
  /** What the other path has more of, by cost component, over the mean of both paths' costs under the prior. */
  readonly excess: readonly number[];
  /** Share of the other path's length that is not the true path, 0..1: how wrong it is. */
  readonly difference: number;
  /** How much the comparison counts. */
  readonly importance: number;
}

export interface RankingFit {
  readonly weights: number[];
  /** Mean squared lack of margin, with the pull to the prior. */
  readonly loss: number;
}

/**
 * By how much of the mean cost a path that is wrong all along should be dearer than the true one. A smaller
 * margin leaves the fit to what the artist did against all weights; measured: 0.02, 0.1, 0.3.
 */
const MARGIN = 0.3;
/** How strongly the weights are drawn to the prior, against the mean squared lack of margin. */
const PULL = 0.02;
const ROUNDS = 50;

/**
 * Non-negative weights under which every true path is cheaper than the others by a margin in proportion to
 * how wrong they are (maximum margin planning: Ratliff, Bagnell & Zinkevich 2006, from memory), by ridge
 * regression over the comparisons that lack margin, repeated until these stay the same. Only the weights'
 * proportions tell paths apart, so their sum is held at the prior's.
 */
export function rankPaths(comparisons: readonly PathComparison[], prior: readonly number[]): RankingFit {
  const importance = comparisons.reduce((sum, c) => sum + c.importance, 0) || 1;
  const lack = ({ excess, difference }: PathComparison, w: readonly number[]) =>
    Math.max(0, MARGIN * difference - dot(excess, w));
  const lossOf = (w: readonly number[]) =>
    comparisons.reduce((sum, c) => sum + (c.importance * lack(c, w) ** 2) / importance, 0) +
    PULL * w.reduce((sum, x, k) => sum + (x - prior[k]!) ** 2, 0);
  let best: RankingFit = { weights: [...prior], loss: lossOf(prior) };
  let active = comparisons.map((c) => lack(c, prior) > 0);
  for (let round = 0; round < ROUNDS; round++) {
    const rows = comparisons.filter((_, i) => active[i]);
    const weights = solveRidge(rows, importance, prior);
    const loss = lossOf(weights);
    if (loss < best.loss) best = { weights, loss };
    const next = comparisons.map((c) => lack(c, weights) > 0);
    if (next.every((x, i) => x === active[i])) break;
    active = next;
  }
  return best;
}

const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, x, k) => sum + x * b[k]!, 0);

/** Least squares with a pull to the prior and no weight below 0: the best of all choices of weights that are 0. */
function solveRidge(rows: readonly PathComparison[], importance: number, prior: readonly number[]): number[] {
  const count = prior.length;
  const unit = prior.reduce((sum, w) => sum + w, 0);
  const normal = Matrix.eye(count, count, PULL);
  const right = Matrix.columnVector(prior.map((w) => PULL * w));
  for (const { excess, difference, importance: own } of rows) {
    for (let i = 0; i < count; i++) {
      right.set(i, 0, right.get(i, 0) + (own / importance) * excess[i]! * MARGIN * difference);
      for (let j = 0; j < count; j++)
        normal.set(i, j, normal.get(i, j) + (own / importance) * excess[i]! * excess[j]!);
    }
  }
  let best = [...prior];
  let least = Infinity;
  for (let choice = 1; choice < 2 ** count; choice++) {
    const free = prior.map((_, k) => k).filter((k) => choice & (2 ** k));
    const size = free.length;
    const system = Matrix.ones(size + 1, size + 1);
    system.setSubMatrix(normal.selection(free, free), 0, 0);
    system.set(size, size, 0);
    const target = Matrix.columnVector([...free.map((k) => right.get(k, 0)), unit]);
    const solution = solve(system, target).to1DArray();
    const weights = prior.map((_, k) => (free.includes(k) ? solution[free.indexOf(k)]! : 0));
    if (weights.some((w) => w < 0)) continue;
    const column = Matrix.columnVector(weights);
    const value = column.transpose().mmul(normal).mmul(column).get(0, 0) - 2 * column.dot(right);
    if (value < least) {
      least = value;
      best = weights;
    }
  }
  return best;
}
