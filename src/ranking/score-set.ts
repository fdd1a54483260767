/** What a set is judged by. Smaller is better, but for symmetry and fill. */
export interface ScoredFigures {
  /** Area-weighted mean energy − 4, ≥ 0. */
  readonly stretch: number;
  /** Exposed seam length over the square root of the surface area. */
  readonly exposure: number;
  readonly pieces: number;
  /** 0..1 */
  readonly symmetry: number;
  /** Share of the sheet that charts cover or are expected to cover, 0..1. */
  readonly fill?: number;
}

export type CriterionName = 'stretch' | 'exposure' | 'pieces' | 'symmetry' | 'fill';

export const CRITERION_WEIGHTS: Readonly<Record<CriterionName, number>> = Object.freeze({
  stretch: 0.3,
  exposure: 0.3,
  pieces: 0.1,
  symmetry: 0.1,
  fill: 0.2,
});

/** Each figure on a scale from 0 to 1, 1 being best, by fixed half-way points, so that scores compare across models. */
export function gradeFigures(figures: ScoredFigures): Record<CriterionName, number | undefined> {
  return {
    stretch: 0.2 / (0.2 + Math.max(0, figures.stretch)),
    exposure: 4 / (4 + figures.exposure),
    pieces: 12 / Math.max(12, figures.pieces),
    symmetry: figures.symmetry,
    fill: figures.fill,
  };
}

/** Weighted mean of the grades, 0..1; criteria without a figure do not count. */
export function scoreSet(
  figures: ScoredFigures,
  weights: Partial<Record<CriterionName, number>> = {},
): number {
  const grades = gradeFigures(figures);
  let sum = 0;
  let total = 0;
  for (const name of Object.keys(CRITERION_WEIGHTS) as CriterionName[]) {
    const grade = grades[name];
    const weight = weights[name] ?? CRITERION_WEIGHTS[name];
    if (grade === undefined) continue;
    sum += weight * grade;
    total += weight;
  }
  return total > 0 ? sum / total : 0;
}
