import { describe, expect, it } from 'vitest';
import { measureLayout } from '../../src/distortion/index.js';
import { arrangeCharts } from '../../src/layout/index.js';
import type { LayoutFigures } from '../../src/revising/index.js';
import { compareLayouts } from '../../src/revising/index.js';
import { flatPolygons, rectangle, star } from '../layout/flat-polygons.js';

const figures: LayoutFigures = {
  charts: { length: 9 },
  energy: 4.2,
  stretchLinf: 2,
  seamLength: 6,
  surfaceArea: 1,
  densitySpread: 1.1,
  flippedFaces: { length: 0 },
  overlaps: { pairs: { length: 0 } },
  mirroredCharts: { length: 0 },
  outsideFaces: { length: 0 },
  fill: 0.7,
  gap: 32,
};

describe('compareLayouts', () => {
  it('finds no difference between a layout and itself, or one within rounding', () => {
    const { summary, figures: compared } = compareLayouts(figures, { ...figures, energy: 4.2001 });
    expect(summary).toBe('A and B are alike in every figure.');
    expect(compared.every(({ better }) => better === 'neither')).toBe(true);
  });

  it('says which is better in what', () => {
    const other = {
      ...figures,
      charts: { length: 12 },
      energy: 4.05,
      fill: 0.65,
      flippedFaces: { length: 3 },
    };
    const { summary, figures: compared } = compareLayouts(figures, other, ['Ours', 'Theirs']);
    expect(summary).toBe(
      'Ours is better in flipped faces, pieces and fill; Theirs in stretch. They are alike in the rest.',
    );
    expect(compared.find(({ figure }) => figure === 'fill')!.sentence).toBe(
      'Ours fills more of the sheet: 70.0 % against 65.0 %.',
    );
    expect(compared.find(({ figure }) => figure === 'stretch')!.sentence).toBe(
      'Theirs stretches less: 4.05 against 4.20.',
    );
  });

  it('compares in both directions alike', () => {
    const other = { ...figures, gap: Number.POSITIVE_INFINITY, seamLength: 5 };
    const there = compareLayouts(figures, other).figures.map(({ better }) => better);
    const back = compareLayouts(other, figures).figures.map(({ better }) => better);
    expect(back).toEqual(there.map((side) => (side === 'a' ? 'b' : side === 'b' ? 'a' : side)));
  });

  it('takes layout reports as they are', () => {
    const { mesh, flat } = flatPolygons([rectangle(1, 1), star([1, 0.5, 1, 0.5]), rectangle(3, 1)]);
    const rows = measureLayout(mesh, arrangeCharts(mesh, flat, { effort: 0 }).uvs);
    const searched = measureLayout(mesh, arrangeCharts(mesh, flat, { effort: 0.4 }).uvs);
    const { summary } = compareLayouts(searched, rows, ['Searched', 'Rows']);
    expect(summary).toContain('Searched is better in fill');
  });
});
