import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { packReview, unpackReview } from '../../src/report/index.js';
import { gridModel } from './grid-model.js';

const HOSTILE = '</script><script>alert(1)</script><!--';

describe('packReview', () => {
  it('gives back words and connectivity exactly, positions, UVs and fields to their steps', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 30 }), fc.integer({ min: 1, max: 30 }), (columns, rows) => {
        const model = gridModel(columns, rows, 2, HOSTILE);
        const back = unpackReview(packReview(model));
        expect(back.faceVertexCounts).toEqual(model.faceVertexCounts);
        expect(back.faceVertexIndices).toEqual(model.faceVertexIndices);
        expect([back.name, back.parts, back.up]).toEqual([model.name, model.parts, model.up]);
        const near = (a: Float32Array, b: Float32Array, step: number) => {
          expect(a.length).toBe(b.length);
          a.forEach((x, i) => {
            expect(Math.abs(x - b[i]!)).toBeLessThanOrEqual(step);
          });
        };
        near(back.points, model.points, Math.max(columns, rows, 6) / 65535);
        near(back.faceExposure, model.faceExposure, 1 / 500);
        back.sets.forEach((set, i) => {
          const { uvs, faceRatio, faceArea, ...rest } = set;
          const own = model.sets[i]!;
          expect(rest).toEqual({ ...own, uvs: undefined, faceRatio: undefined, faceArea: undefined });
          near(uvs, own.uvs, 1.1 / 65534);
          near(faceArea, own.faceArea, 4 / 500);
          near(faceRatio, own.faceRatio, 0.01);
        });
      }),
      { numRuns: 25 },
    );
  });

  it('keeps places that have no UV', () => {
    const model = gridModel(3, 2, 1);
    const uvs = model.sets[0]!.uvs.slice().fill(Number.NaN, 0, 8);
    const back = unpackReview(packReview({ ...model, sets: [{ ...model.sets[0]!, uvs }] })).sets[0]!.uvs;
    expect([...back].map(Number.isNaN)).toEqual([...uvs].map(Number.isNaN));
  });

  it('packs the same bytes twice', () => {
    expect(packReview(gridModel(9, 7, 2))).toEqual(packReview(gridModel(9, 7, 2)));
  });

  it('takes at most 30 bytes a face for three sets', () => {
    const [columns, rows] = process.env.SEAMWRIGHT_LONG ? [500, 400] : [150, 100];
    const { head, body } = packReview(gridModel(columns, rows, 3));
    expect((head.length + body.length) / (columns * rows)).toBeLessThan(30);
  });
});
