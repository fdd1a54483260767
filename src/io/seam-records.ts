import type { SeamEdges } from '../mesh/index.js';

/** What the writers tell of a seam; a seam of a proposal is one. */
export interface SeamRecord extends SeamEdges {
  readonly role?: string | undefined;
  readonly part?: string | undefined;
  readonly side?: string | undefined;
  /** In model units. */
  readonly length?: number | undefined;
  readonly exposure?: number | undefined;
  readonly reason?: string | undefined;
}

/** What the writers tell of a chart; a chart of a proposal is one. */
export interface ChartRecord {
  readonly faces: ArrayLike<number>;
  readonly part?: string | undefined;
  readonly side?: string | undefined;
}

export const SEAM_FAMILY = 'seams';
export const CHART_FAMILY = 'charts';

/** Faces or edges under a name, as an OpenUSD GeomSubset has them. */
export interface SubsetRecord {
  readonly name: string;
  readonly elementType: 'face' | 'edge';
  readonly familyName: string;
  /** Face indices, or pairs of point indices. */
  readonly indices: readonly number[];
  readonly customData: Readonly<Record<string, string | number>>;
}

/** One subset for each seam and chart, with unique names that are valid OpenUSD identifiers. */
export function buildSubsets(
  seams: readonly SeamRecord[],
  charts: readonly ChartRecord[],
  takenNames: Iterable<string> = [],
): SubsetRecord[] {
  const taken = new Set(takenNames);
  const uniqueName = (words: readonly (string | undefined)[]): string => {
    const stem = words
      .filter((word) => word)
      .join('_')
      .replace(/[^A-Za-z0-9_]/g, '_');
    for (let i = 1; ; i++) {
      const name = `${stem}_${i}`;
      if (taken.has(name)) continue;
      taken.add(name);
      return name;
    }
  };
  return [
    ...seams.map(
      (seam): SubsetRecord => ({
        name: uniqueName(['seam', seam.role, seam.part, seam.side]),
        elementType: 'edge',
        familyName: SEAM_FAMILY,
        indices: seam.edges.flat(),
        customData: pickData(seam, ['role', 'part', 'side', 'length', 'exposure', 'reason']),
      }),
    ),
    ...charts.map(
      (chart): SubsetRecord => ({
        name: uniqueName(['chart', chart.part, chart.side]),
        elementType: 'face',
        familyName: CHART_FAMILY,
        indices: Array.from(chart.faces),
        customData: pickData(chart, ['part', 'side']),
      }),
    ),
  ];
}

function pickData<T extends object>(
  record: T,
  names: readonly (keyof T & string)[],
): Record<string, string | number> {
  const data: Record<string, string | number> = {};
  for (const name of names) {
    const value = record[name];
    if (typeof value === 'string' || (typeof value === 'number' && Number.isFinite(value)))
      data[name] = value;
  }
  return data;
}

/** The seam that a subset of family "seams" stands for. */
export function seamOfSubset(
  indices: ArrayLike<number>,
  customData: Readonly<Record<string, unknown>>,
): SeamRecord {
  const edges: [number, number][] = [];
  for (let i = 0; i + 1 < indices.length; i += 2) edges.push([indices[i]!, indices[i + 1]!]);
  const text = (name: string) =>
    typeof customData[name] === 'string' ? (customData[name] as string) : undefined;
  const number = (name: string) =>
    typeof customData[name] === 'number' ? (customData[name] as number) : undefined;
  return {
    edges,
    role: text('role'),
    part: text('part'),
    side: text('side'),
    length: number('length'),
    exposure: number('exposure'),
    reason: text('reason'),
  };
}
