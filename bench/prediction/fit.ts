// The fitted part of the prediction: ln(measured / linear) as a sum of terms that vanish with the strain.
import { Matrix, solve } from 'ml-matrix';

/** Levels above which the strain of a face is damped. */
export const LEVELS = [1, 10, 100];

/** What the fit reads of a chart. */
export interface FitRecord {
  readonly energy: number;
  readonly strain: number;
  readonly damped: readonly number[];
}

const features = ({ strain, damped }: FitRecord): number[] => damped.map((sum) => Math.log(sum / strain));

/** Least absolute deviations by reweighting. */
export function fitTerms(records: readonly FitRecord[]): number[] {
  const x = records.map(features);
  const y = records.map(({ energy, strain }) => Math.log((energy - 4) / strain));
  let weights: number[] = x.map(() => 1);
  let terms: number[] = [];
  for (let round = 0; round < 50; round++) {
    const count = x[0]!.length;
    const normal = Matrix.zeros(count, count);
    const right = Matrix.zeros(count, 1);
    x.forEach((row, i) => {
      for (let a = 0; a < count; a++) {
        right.set(a, 0, right.get(a, 0) + weights[i]! * row[a]! * y[i]!);
        for (let b = 0; b < count; b++) normal.set(a, b, normal.get(a, b) + weights[i]! * row[a]! * row[b]!);
      }
    });
    for (let a = 0; a < count; a++) normal.set(a, a, normal.get(a, a) + 1e-3);
    terms = solve(normal, right).to1DArray();
    weights = x.map((row, i) => 1 / Math.max(0.02, Math.abs(y[i]! - dot(row, terms))));
  }
  return terms;
}

export const predict = (record: FitRecord, terms: readonly number[]): number =>
  record.strain * Math.exp(dot(features(record), terms));

/** Quantiles of measured over predicted around each level of predicted excess energy. */
export function fitRange(
  records: readonly FitRecord[],
  terms: readonly number[],
  levels: readonly number[],
): [low: number, high: number][] {
  const ratios = records.map((record) => {
    const predicted = predict(record, terms);
    return { at: Math.log(predicted), ratio: (record.energy - 4) / predicted };
  });
  return levels.map((level) => {
    // The nearest two hundred, so that every level has a tail to read.
    const near = ratios
      .map(({ at, ratio }) => ({ distance: Math.abs(at - Math.log(level)), ratio }))
      .sort((a, b) => a.distance - b.distance)
      .slice(0, 200)
      .map(({ ratio }) => ratio)
      .sort((a, b) => a - b);
    return [quantile(near, 0.02), quantile(near, 0.98)] as [number, number];
  });
}

const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, value, i) => sum + value * b[i]!, 0);

export const quantile = (sorted: readonly number[], share: number): number =>
  sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!;

export const median = (list: readonly number[]): number =>
  quantile(
    [...list].sort((a, b) => a - b),
    0.5,
  );

/** Rank correlation. */
export function spearman(a: readonly number[], b: readonly number[]): number {
  const rank = (list: readonly number[]): number[] => {
    const ranks: number[] = [];
    list
      .map((_, i) => i)
      .sort((i, j) => list[i]! - list[j]!)
      .forEach((i, k) => {
        ranks[i] = k;
      });
    return ranks;
  };
  const x = rank(a);
  const y = rank(b);
  const mean = (a.length - 1) / 2;
  let product = 0;
  let square = 0;
  for (let i = 0; i < a.length; i++) {
    product += (x[i]! - mean) * (y[i]! - mean);
    square += (x[i]! - mean) ** 2;
  }
  return product / square;
}
