import fc from 'fast-check';
import type { PlainMesh } from '../../src/testing/index.js';
import { cellSkin, mapPoints, smoothQuads } from '../../src/testing/index.js';

/** A small body, the same on both sides, and the point across from each of its points. */
export interface Figure {
  readonly mesh: PlainMesh;
  readonly pointPartners: Int32Array;
}

/** Half the cells across: a figure reaches from -HALF to HALF cells, with one column of cells on the plane. */
const HALF = 4;

/** What a figure is made from. */
export interface FigureShape {
  readonly legs: number;
  readonly trunk: number;
  readonly arms: number;
  readonly head: number;
  readonly hasTail: boolean;
  readonly isSmooth: boolean;
  /** Widths of the columns of cells from the plane outwards, heights of the rows, depths of the layers. */
  readonly widths: readonly number[];
  readonly heights: readonly number[];
  readonly depths: readonly number[];
}

/** Bodies of a few cells, stiff or smooth, of any proportions: a tenth of a marionette's work. */
export const figures = (): fc.Arbitrary<Figure> => {
  const sizes = (count: number) =>
    fc.array(fc.integer({ min: 60, max: 140 }), { minLength: count, maxLength: count });
  return fc
    .record({
      legs: fc.integer({ min: 1, max: 3 }),
      trunk: fc.integer({ min: 1, max: 2 }),
      arms: fc.integer({ min: 0, max: 2 }),
      head: fc.integer({ min: 0, max: 2 }),
      hasTail: fc.boolean(),
      isSmooth: fc.boolean(),
      widths: sizes(HALF + 1),
      heights: sizes(7),
      depths: sizes(3),
    })
    .map(makeFigure);
};

export function makeFigure(shape: FigureShape): Figure {
  const { legs, trunk, arms, head, hasTail, isSmooth } = shape;
  const shoulders = legs + trunk - 1;
  // Layer 0 holds the tail, 1 the body, 2 what sticks out in front: feet, and the nose of a high head.
  const isInside = (i: number, j: number, k: number): boolean => {
    const x = Math.abs(i - HALF);
    if (k === 0) return hasTail && j === legs && x === 0;
    if (k === 2) return (j === 0 && x === 1) || (head === 2 && j === shoulders + 1 && x === 0);
    if (j < legs) return x === 1;
    if (j <= shoulders) return x <= 1 || (j === shoulders && x <= 1 + arms);
    return x === 0;
  };
  const skin = cellSkin([2 * HALF + 1, shoulders + 1 + head, 3], isInside);
  const [across, up, deep] = [shape.widths, shape.heights, shape.depths].map(ladder);
  const placed = mapPoints(skin, ([x, y, z]) => {
    const out = x - HALF - 0.5;
    // The column on the plane is as wide to the left as to the right.
    const place = across![Math.abs(out) + 0.5]! - across![1]! / 2;
    return [Math.sign(out) * place, up![y]!, deep![z]!];
  });
  const mesh = isSmooth ? smoothQuads(placed, 1) : placed;
  return { mesh, pointPartners: pairPoints(mesh) };
}

/** Places of the planes between steps of given sizes, in hundredths. */
function ladder(steps: readonly number[]): number[] {
  const places = [0];
  for (const step of steps) places.push(places[places.length - 1]! + step / 100);
  return places;
}

function pairPoints({ points }: PlainMesh): Int32Array {
  const name = (x: number, p: number) =>
    [x, points[3 * p + 1]!, points[3 * p + 2]!].map((value) => Math.round(value * 1e9)).join();
  const byPlace = new Map<string, number>();
  for (let p = 0; p < points.length / 3; p++) byPlace.set(name(points[3 * p]!, p), p);
  return Int32Array.from(
    { length: points.length / 3 },
    (_, p) => byPlace.get(name(-points[3 * p]!, p)) ?? -1,
  );
}
