import { describe, expect, it } from 'vitest';
import { measureLayout } from '../../src/distortion/index.js';
import { flattenCharts } from '../../src/flattening/index.js';
import { arrangeCharts } from '../../src/layout/index.js';
import { doubleTorus, expectMirrored, mapPoints } from '../../src/testing/index.js';
import { propose } from './cases.js';
import { makeFigure } from './figures.js';

describe('cases that the laws found', () => {
  it('injectivity: the sides of a slit in a flat chart only touch, turned and scaled as they are', async () => {
    const needles = mapPoints(doubleTorus({ levels: 0 }), ([x, y, z]) => [182 * x, y, z]);
    const { mesh, proposal } = await propose(needles, { sets: 1 });
    const layout = arrangeCharts(mesh, flattenCharts(mesh, proposal.sets[0]!), { effort: 0 });
    expect(measureLayout(mesh, layout.uvs).overlaps.pairs).toEqual([]);
  });

  it.each([
    [
      'the collar of a part on the plane does not go round one limb beside it',
      { legs: 3, trunk: 1, arms: 0, head: 1, hasTail: false, isSmooth: true },
      [129, 123, 60, 60, 60],
      [60, 60, 60, 60, 96, 60, 60],
      [60, 124, 60],
    ],
    [
      'a collar whose mirror image is none is not cut',
      { legs: 1, trunk: 1, arms: 1, head: 0, hasTail: true, isSmooth: false },
      [110, 80, 116, 60, 60],
      [124, 64, 60, 60, 60, 60, 60],
      [135, 66, 117],
    ],
  ])('mirror: %s', async (_, shape, widths, heights, depths) => {
    const { mesh: input, pointPartners } = makeFigure({ ...shape, widths, heights, depths });
    const { mesh, proposal } = await propose(input, { sets: 8 });
    for (const set of proposal.sets) expectMirrored(mesh, set, { pointPartners });
  });
});
