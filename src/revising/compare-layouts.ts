/** The figures that two layouts are compared by; a layout report has them. */
export interface LayoutFigures {
  readonly charts: { readonly length: number };
  /** Mean symmetric Dirichlet energy; 4 is no stretch. */
  readonly energy: number;
  /** Largest stretch of any face. */
  readonly stretchLinf: number;
  readonly seamLength: number;
  readonly surfaceArea: number;
  /** Length of the seams, each edge weighted by its exposure. @defaultValue not compared */
  readonly exposedSeamLength?: number;
  /** Greatest over least texel density. */
  readonly densitySpread: number;
  /** @defaultValue not compared */
  readonly unmappedFaces?: { readonly length: number };
  readonly flippedFaces: { readonly length: number };
  readonly overlaps: { readonly pairs: { readonly length: number } };
  readonly mirroredCharts: { readonly length: number };
  readonly outsideFaces: { readonly length: number };
  /** Share of the square covered. */
  readonly fill: number;
  /** Smallest distance between charts in pixels. */
  readonly gap: number;
}

export type ComparedFigure =
  | 'faces without UVs'
  | 'flipped faces'
  | 'overlaps'
  | 'faces outside'
  | 'mirrored charts'
  | 'pieces'
  | 'stretch'
  | 'worst stretch'
  | 'seam length'
  | 'exposed seam'
  | 'even density'
  | 'fill'
  | 'gap';

/** One thing that two layouts differ in, or not. */
export interface FigureComparison {
  readonly figure: ComparedFigure;
  readonly a: number;
  readonly b: number;
  readonly better: 'a' | 'b' | 'neither';
  /** One sentence, such as "A stretches less: 4.08 against 4.31." */
  readonly sentence: string;
}

export interface LayoutComparison {
  readonly figures: readonly FigureComparison[];
  /** Which is better in what, in one or two sentences. */
  readonly summary: string;
}

interface Measure {
  readonly figure: ComparedFigure;
  /** Undefined when the layout does not say. */
  readonly read: (layout: LayoutFigures) => number | undefined;
  readonly isMoreBetter?: boolean;
  /** Says which is better, by name, and how: "A stretches less". */
  readonly claim: (name: string) => string;
  readonly tie: string;
  readonly format?: (value: number) => string;
}

const MEASURES: readonly Measure[] = [
  {
    figure: 'faces without UVs',
    read: (l) => l.unmappedFaces?.length,
    claim: (name) => `${name} has fewer faces without UVs`,
    tie: 'Both have as many faces without UVs',
  },
  {
    figure: 'flipped faces',
    read: (l) => l.flippedFaces.length,
    claim: (name) => `${name} has fewer flipped faces`,
    tie: 'Both have as many flipped faces',
  },
  {
    figure: 'overlaps',
    read: (l) => l.overlaps.pairs.length,
    claim: (name) => `${name} has fewer overlaps`,
    tie: 'Both have as many overlaps',
  },
  {
    figure: 'faces outside',
    read: (l) => l.outsideFaces.length,
    claim: (name) => `${name} has fewer faces outside the square`,
    tie: 'Both have as many faces outside the square',
  },
  {
    figure: 'mirrored charts',
    read: (l) => l.mirroredCharts.length,
    claim: (name) => `${name} has fewer mirrored charts`,
    tie: 'Both have as many mirrored charts',
  },
  {
    figure: 'pieces',
    read: (l) => l.charts.length,
    claim: (name) => `${name} has fewer pieces`,
    tie: 'Both have as many pieces',
  },
  {
    figure: 'stretch',
    read: (l) => l.energy,
    claim: (name) => `${name} stretches less`,
    tie: 'Both stretch alike',
  },
  {
    figure: 'worst stretch',
    read: (l) => l.stretchLinf,
    claim: (name) => `${name} stretches less at its worst face`,
    tie: 'Both stretch their worst face alike',
  },
  {
    figure: 'seam length',
    read: (l) => l.seamLength / Math.sqrt(l.surfaceArea),
    claim: (name) => `${name} has shorter seams`,
    tie: 'Both have seams of one length',
  },
  {
    figure: 'exposed seam',
    read: ({ exposedSeamLength, surfaceArea }) =>
      exposedSeamLength === undefined ? undefined : exposedSeamLength / Math.sqrt(surfaceArea),
    claim: (name) => `${name} shows less of its seams`,
    tie: 'Both show as much of their seams',
  },
  {
    figure: 'even density',
    read: (l) => l.densitySpread,
    claim: (name) => `${name} is more even in texel density`,
    tie: 'Both are alike in texel density',
  },
  {
    figure: 'fill',
    read: (l) => l.fill,
    isMoreBetter: true,
    claim: (name) => `${name} fills more of the sheet`,
    tie: 'Both fill the sheet alike',
    format: (value) => `${(100 * value).toFixed(1)} %`,
  },
  {
    figure: 'gap',
    read: (l) => l.gap,
    isMoreBetter: true,
    claim: (name) => `${name} keeps its pieces further apart`,
    tie: 'Both keep their pieces as far apart',
    format: (value) => (value === Infinity ? 'wide' : `${value.toFixed(1)} px`),
  },
];

/** Differences below this share are none: they come from rounding in files. */
const TIE_SHARE = 0.005;

/**
 * Compares two layouts of a model in plain words, figure by figure.
 *
 * @param names - what to call them
 *
 * @example
 * compareLayouts(measureLayout(mesh, ours), measureLayout(mesh, theirs), ['Ours', 'Theirs']).summary;
 * // "Ours is better in stretch and fill; Theirs in pieces. They are alike in the rest."
 */
export function compareLayouts(
  a: LayoutFigures,
  b: LayoutFigures,
  names: readonly [string, string] = ['A', 'B'],
): LayoutComparison {
  const figures = MEASURES.flatMap((measure) => compareFigure(measure, a, b, names) ?? []);
  return { figures, summary: summarise(figures, names) };
}

function compareFigure(
  { figure, read, isMoreBetter, claim, tie, format }: Measure,
  left: LayoutFigures,
  right: LayoutFigures,
  names: readonly [string, string],
): FigureComparison | undefined {
  const a = read(left);
  const b = read(right);
  if (a === undefined || b === undefined) return undefined;
  const isTie = a === b || Math.abs(a - b) <= TIE_SHARE * Math.max(Math.abs(a), Math.abs(b));
  const better = isTie ? 'neither' : a < b === !isMoreBetter ? 'a' : 'b';
  const show = format ?? ((value: number) => (Number.isInteger(value) ? String(value) : value.toFixed(2)));
  const sentence =
    better === 'neither'
      ? `${tie}: ${show(a)}.`
      : better === 'a'
        ? `${claim(names[0])}: ${show(a)} against ${show(b)}.`
        : `${claim(names[1])}: ${show(b)} against ${show(a)}.`;
  return { figure, a, b, better, sentence };
}

function summarise(figures: readonly FigureComparison[], names: readonly [string, string]): string {
  const list = (side: 'a' | 'b') => join(figures.filter((f) => f.better === side).map((f) => f.figure));
  const a = list('a');
  const b = list('b');
  if (a === '' && b === '') return `${names[0]} and ${names[1]} are alike in every figure.`;
  const rest = figures.some((f) => f.better === 'neither') ? ' They are alike in the rest.' : '';
  if (b === '') return `${names[0]} is better in ${a}.${rest}`;
  if (a === '') return `${names[1]} is better in ${b}.${rest}`;
  return `${names[0]} is better in ${a}; ${names[1]} in ${b}.${rest}`;
}

function join(words: readonly string[]): string {
  if (words.length < 2) return words.join('');
  return `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`;
}
