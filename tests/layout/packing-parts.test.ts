import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { convexHull, findBoundingAngles } from '../../src/layout/bounding-angles.js';
import { buildDistanceField } from '../../src/layout/distance-field.js';
import { SUM, SUM_COUNT } from '../../src/layout/half-overlap.js';
import { layFlat } from '../../src/layout/lay-flat.js';
import { maximise, ProgramRows } from '../../src/layout/linear-program.js';
import { OutlineSet } from '../../src/layout/outline-set.js';
import { OverlapModel } from '../../src/layout/overlap-model.js';
import type { Piece } from '../../src/layout/piece.js';
import { makePiece } from '../../src/layout/piece.js';
import { packRaster } from '../../src/layout/raster-packing.js';
import { PoseRelaxer } from '../../src/layout/relax-poses.js';
import { scanOutline } from '../../src/layout/scan-outline.js';
import { simplifyPiece } from '../../src/layout/simplify-outline.js';
import { squareDistance } from '../../src/layout/square-distance.js';
import { tighten } from '../../src/layout/tighten.js';
import type { Polygon } from './flat-polygons.js';
import { area, rectangle, star } from './flat-polygons.js';

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const stars = fc.array(number(0.2, 1), { minLength: 3, maxLength: 12 }).map(star);

function pieceOf(polygon: Polygon): Piece {
  return makePiece(
    {
      points: Float64Array.from(polygon.flat()),
      loopOffsets: Int32Array.from([0, polygon.length]),
      area: area(polygon),
    },
    0,
    1,
  ).piece;
}

describe('linear programs', () => {
  it('finds the best corner of a polygon', () => {
    // Maximise x + 2 y under x + y ≤ 4, x − y ≤ 2, −x + 3 y ≤ 6: the corner is (1.5, 2.5), worked by hand.
    const rows = new ProgramRows();
    for (const [a, b, limit] of [
      [1, 1, 4],
      [1, -1, 2],
      [-1, 3, 6],
    ] as const) {
      rows.term(0, a);
      rows.term(1, b);
      rows.end(limit);
    }
    const z = maximise(rows, Float64Array.from([10, 10]), Float64Array.from([1, 2]))!;
    expect(z[0]! + 2 * z[1]!).toBeCloseTo(6.5, 1);
    expect(z[0]).toBeCloseTo(1.5, 1);
    expect(z[1]).toBeCloseTo(2.5, 1);
  });

  it('keeps every row and comes within a thousandth of the best corner of random programs', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(number(0, 2 * Math.PI), number(0.2, 1)), { minLength: 3, maxLength: 12 }),
        number(0, 2 * Math.PI),
        (walls, aim) => {
          const rows = new ProgramRows();
          const lines = walls.map(([angle, limit]) => [Math.cos(angle), Math.sin(angle), limit] as const);
          for (const [a, b, limit] of lines) {
            rows.term(0, a);
            rows.term(1, b);
            rows.end(limit);
          }
          const all = [...lines, [1, 0, 1], [-1, 0, 1], [0, 1, 1], [0, -1, 1]] as const;
          const gain = [Math.cos(aim), Math.sin(aim)] as const;
          const z = maximise(rows, Float64Array.from([1, 1]), Float64Array.from(gain))!;
          for (const [a, b, limit] of all) expect(a * z[0]! + b * z[1]!).toBeLessThan(limit + 1e-6);
          // The best corner, by trying the crossing of every two walls.
          let best = -Infinity;
          for (const [a, b, p] of all) {
            for (const [c, d, q] of all) {
              const det = a * d - b * c;
              if (Math.abs(det) < 1e-9) continue;
              const x = (p * d - q * b) / det;
              const y = (a * q - c * p) / det;
              if (all.every(([e, f, r]) => e * x + f * y <= r + 1e-9))
                best = Math.max(best, gain[0] * x + gain[1] * y);
            }
          }
          expect(gain[0] * z[0]! + gain[1] * z[1]!).toBeGreaterThan(best - 2e-3);
        },
      ),
      { numRuns: 100 },
    );
  });
});

describe('distances', () => {
  it('between a point and a segment are the larger of those in x and y', () => {
    fc.assert(
      fc.property(number(-2, 2), number(-2, 2), number(-2, 2), number(-2, 2), (ax, ay, bx, by) => {
        let sampled = Infinity;
        for (let k = 0; k <= 2000; k++) {
          const t = k / 2000;
          sampled = Math.min(sampled, Math.max(Math.abs(ax + t * (bx - ax)), Math.abs(ay + t * (by - ay))));
        }
        const distance = squareDistance(ax, ay, bx, by, Infinity);
        expect(distance).toBeLessThanOrEqual(sampled + 1e-12);
        expect(distance).toBeGreaterThan(sampled - 2e-3);
      }),
    );
  });

  it('between outlines are those of the nearest borders, and nothing where they cross or nest', () => {
    const measure = (a: Polygon, b: Polygon, dx: number, dy: number) => {
      const set = new OutlineSet([pieceOf(a), pieceOf(b)]);
      set.place({
        scale: 1,
        placements: [
          { x: 0.5, y: 0.5, angle: 0 },
          { x: 0.5 + dx, y: 0.5 + dy, angle: 0 },
        ],
      });
      return set.measureGap(1);
    };
    const box = rectangle(0.2, 0.2);
    expect(measure(box, box, 0.3, 0)).toBeCloseTo(0.1, 12);
    expect(measure(box, box, 0.25, -0.3)).toBeCloseTo(0.1, 12);
    expect(measure(box, box, 0.1, 0.1)).toBe(0);
    expect(measure(box, rectangle(0.05, 0.05), 0, 0)).toBe(0);
    expect(measure(rectangle(0.05, 0.05), box, 0.01, 0)).toBe(0);
    // Two bars that cross without a corner of either inside the other.
    expect(measure(rectangle(0.4, 0.02), rectangle(0.02, 0.4), 0, 0)).toBe(0);
  });
});

describe('pieces laid flat', () => {
  it('lie on their longer side in the smallest box, and go back to where they were', () => {
    const leaning = [0.4, 1.2, -0.9].map((angle) =>
      makePiece(
        { points: Float64Array.from(rectangle(4, 1).flat()), loopOffsets: Int32Array.of(0, 4), area: 4 },
        angle,
        1,
      ),
    );
    const pieces = leaning.map(({ piece }) => piece);
    const { pieces: flat, restore } = layFlat(pieces, 'free', pieces.map(findBoundingAngles));
    for (const { halfWidth, halfHeight } of flat) {
      expect(halfWidth).toBeCloseTo(2, 6);
      expect(halfHeight).toBeCloseTo(0.5, 6);
    }
    const packing = {
      scale: 0.1,
      placements: [
        { x: 0.3, y: 0.2, angle: 0 },
        { x: 0.3, y: 0.5, angle: Math.PI / 2 },
        { x: 0.7, y: 0.5, angle: 2 },
      ],
    };
    const there = new OutlineSet(flat);
    there.place(packing);
    const back = new OutlineSet(pieces);
    back.place(restore(packing));
    back.world.forEach((x, k) => {
      expect(Math.abs(x - there.world[k]!)).toBeLessThan(1e-12);
    });
    expect(layFlat(pieces, 'none', pieces.map(findBoundingAngles)).pieces).toEqual(pieces);
  });
});

describe('bounding turns', () => {
  it('are the least of all turns', () => {
    fc.assert(
      fc.property(stars, (polygon) => {
        const piece = pieceOf(polygon);
        const { rectangle: angle, square, side } = findBoundingAngles(piece);
        const box = (turn: number) => {
          const xs = polygon.map(([x, y]) => Math.cos(turn) * x - Math.sin(turn) * y);
          const ys = polygon.map(([x, y]) => Math.sin(turn) * x + Math.cos(turn) * y);
          return [Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)] as const;
        };
        expect(Math.max(...box(square))).toBeCloseTo(side, 9);
        const [w, h] = box(angle);
        for (let k = 0; k < 180; k++) {
          const [p, q] = box((k * Math.PI) / 180);
          expect(side).toBeLessThanOrEqual(Math.max(p, q) * 1.001);
          expect(w * h).toBeLessThanOrEqual(p * q + 1e-9);
        }
      }),
    );
  });

  it('come from the convex hull', () => {
    const hull = convexHull(Float64Array.from(star([1, 0.1, 1, 0.1, 1, 0.1, 1, 0.1]).flat()));
    expect(hull.length).toBe(8);
  });
});

describe('rasters', () => {
  it('cover the area of an outline, and more of it when nothing thin may be missed', () => {
    fc.assert(
      fc.property(stars, number(5, 60), (polygon, size) => {
        const points = Float64Array.from(polygon.flat(), (x) => x * size);
        const count = (isThick: boolean) => {
          const { spans } = scanOutline(points, Int32Array.from([0, polygon.length]), isThick);
          let cells = 0;
          for (let k = 0; k < spans.length; k += 2) cells += spans[k + 1]! - spans[k]! + 1;
          return cells;
        };
        const expected = area(polygon) * size * size;
        const rim = polygon.length * 2 * size;
        expect(Math.abs(count(false) - expected)).toBeLessThan(rim);
        expect(count(true)).toBeGreaterThanOrEqual(expected);
      }),
    );
  });

  it('tell how far each node is from an outline, and on which side', () => {
    const field = buildDistanceField(Float64Array.from(rectangle(20, 10).flat()), Int32Array.from([0, 4]), 6);
    const at = (x: number, y: number) => field.values[(y - field.y0) * field.width + x - field.x0]!;
    // A box of half width 10 and half height 5.
    expect(at(15, 0)).toBeCloseTo(5, 6);
    expect(at(13, 9)).toBeCloseTo(5, 6);
    expect(at(0, 0)).toBeCloseTo(-5, 6);
    expect(at(8, -3)).toBeCloseTo(-2, 6);
    expect(at(-10, 2)).toBeCloseTo(0, 6);
  });

  it('pack so that margins hold exactly', () => {
    fc.assert(
      fc.property(
        fc.array(stars, { minLength: 1, maxLength: 20 }),
        fc.constantFrom(0.002, 1 / 128, 0.02, 1 / 32),
        (polygons, gutter) => {
          const pieces = polygons.map(pieceOf);
          const margins = { border: gutter / 2, gutter };
          const packing = packRaster(pieces, margins, {
            turnCount: 4,
            cells: 128,
            maxScale: Infinity,
            steps: 5,
          })!;
          const set = new OutlineSet(pieces);
          set.place(packing);
          expect(set.isApart(margins.border, margins.gutter)).toBe(true);
          expect(packing.scale).toBeGreaterThan(0);
        },
      ),
      { numRuns: 40, endOnFailure: true },
    );
  });
});

describe('overlaps', () => {
  const modelOf = (polygons: readonly Polygon[], side: number) => {
    const pieces = polygons.map((polygon) => ({
      points: Float64Array.from(polygon.flat(), (x) => 20 * x),
      loopOffsets: Int32Array.from([0, polygon.length]),
    }));
    const model = new OverlapModel(pieces, { border: 0.01, gutter: 0.02, maxSide: side });
    model.side = side;
    return model;
  };

  it('miss as much as the gutter leaves open, along the direction that parts two pieces', () => {
    const model = modelOf([rectangle(1, 1), rectangle(1, 1)], 100);
    model.setPose(0, { x: 30, y: 50, angle: 0 });
    // Sides 20 cells long, centres 21 apart: one cell free where the gutter wants two.
    model.setPose(1, { x: 51, y: 50, angle: 0 });
    const sumsOf = () => {
      const at = model.findPairSums(0, 1);
      return model.sums.slice(at, at + SUM_COUNT);
    };
    const sums = sumsOf();
    // Off a corner the direction is blurred over a cell, and the gutter's reach at most that of its diagonal.
    expect(sums[SUM.worst]).toBeGreaterThan(1 - 1e-5);
    expect(sums[SUM.worst]).toBeLessThan(2 * Math.SQRT2 - 1 + 1e-5);
    // Twenty cells of each border face the other, so the first is to go left, and neither up nor down.
    expect(-sums[SUM.right]!).toBeGreaterThan(40 - 1);
    expect(-sums[SUM.right]!).toBeLessThan(40 + 12);
    expect(Math.abs(sums[SUM.right + 1]!)).toBeLessThan(1);
    model.setPose(1, { x: 53, y: 50, angle: 0 });
    expect(sumsOf().every((x) => x === 0)).toBe(true);
    expect(model.cost(1, model.pose(1))).toBe(0);
  });

  it('are told from the other side by their mirror sums, and anew after every move', () => {
    fc.assert(
      fc.property(stars, stars, number(-3, 3), number(-3, 3), number(5, 25), (a, b, turnA, turnB, apart) => {
        const poses = [
          { x: 100, y: 100, angle: turnA },
          { x: 100 + apart, y: 97, angle: turnB },
        ] as const;
        const model = modelOf([a, b], 200);
        const mirror = modelOf([b, a], 200);
        // Sums found before the last move must not be taken for those after it.
        model.setPose(0, { x: 101, y: 103, angle: 0 });
        model.setPose(1, { x: 100, y: 90, angle: 0 });
        model.findPairSums(0, 1);
        poses.forEach((pose, i) => {
          model.setPose(i, pose);
          mirror.setPose(1 - i, pose);
        });
        const p = model.sums.subarray(model.findPairSums(0, 1));
        const q = mirror.sums.subarray(mirror.findPairSums(0, 1));
        const { cost, worst, right, products } = SUM;
        const same = [
          [p[cost], q[cost]],
          [p[worst], q[worst]],
          [p[right], -q[right]!],
          [p[right + 2], q[right + 3]],
          [p[products + 1], q[products + 1]],
          [p[products + 5], q[products + 9]],
          [p[products + 3], -q[products + 6]!],
          [p[products + 8], q[products + 8]],
        ];
        for (const [x, y] of same) expect(Math.abs(x! - y!)).toBeLessThan(1e-9 * (1 + Math.abs(x!)));
      }),
    );
  });

  it('are undone downhill where there is room', () => {
    fc.assert(
      fc.property(stars, stars, number(-0.2, 0.2), number(0.2, 0.35), (a, b, turn, shift) => {
        const model = modelOf([a, b], 200);
        model.setPose(0, { x: 100, y: 100, angle: 0 });
        model.setPose(1, { x: 100 + 100 * shift, y: 100, angle: turn });
        const before = model.cost(1, model.pose(1));
        new PoseRelaxer(model, true).relax([0, 1], 60);
        const after = model.cost(1, model.pose(1));
        expect(after).toBeLessThanOrEqual(0.2 * before + 1);
      }),
      { numRuns: 20 },
    );
  });
});

describe('simplified outlines', () => {
  it('stay within the tolerance and use points of the original', () => {
    fc.assert(
      fc.property(fc.array(number(0.9, 1), { minLength: 40, maxLength: 80 }).map(star), (polygon) => {
        const piece = pieceOf(polygon);
        const { points } = simplifyPiece(piece, 0.05);
        expect(points.length).toBeLessThan(piece.points.length);
        for (let k = 0; k < piece.points.length; k += 2) {
          let least = Infinity;
          for (let a = 0; a < points.length; a += 2) {
            const b = (a + 2) % points.length;
            const [ex, ey] = [points[b]! - points[a]!, points[b + 1]! - points[a + 1]!];
            const [dx, dy] = [piece.points[k]! - points[a]!, piece.points[k + 1]! - points[a + 1]!];
            const t = Math.min(1, Math.max(0, (dx * ex + dy * ey) / (ex * ex + ey * ey)));
            least = Math.min(least, Math.hypot(dx - t * ex, dy - t * ey));
          }
          expect(least).toBeLessThanOrEqual(0.05 + 1e-12);
        }
      }),
      { numRuns: 30 },
    );
  });
});

describe('tightening', () => {
  it('slides four loose squares to where they fill the sheet', () => {
    const pieces = Array.from({ length: 4 }, () => pieceOf(rectangle(1, 1)));
    const margins = { border: 1 / 128, gutter: 1 / 64 };
    const placements = [
      [0.25, 0.28],
      [0.74, 0.2],
      [0.3, 0.8],
      [0.79, 0.76],
    ].map(([x, y]) => ({ x: x!, y: y!, angle: 0 }));
    const start = { scale: 0.3, placements };
    for (const canTurn of [false, true]) {
      const options = { canTurn, steps: 60, maxScale: Infinity, trust: 0.01 };
      const { scale } = tighten(pieces, start, margins, options)!;
      const best = (1 - 2 / 128 - 1 / 64) / 2;
      expect(scale / best).toBeGreaterThan(0.999);
      expect(scale / best).toBeLessThanOrEqual(1);
    }
  });

  it('makes good the gutters that its start breaks', () => {
    // Nine squares in a grid, each a little out of place towards its neighbours.
    fc.assert(
      fc.property(fc.array(number(-0.008, 0.008), { minLength: 18, maxLength: 18 }), (shifts) => {
        const pieces = Array.from({ length: 9 }, () => pieceOf(rectangle(1, 1)));
        const margins = { border: 1 / 128, gutter: 1 / 64 };
        const placements = pieces.map((_, i) => ({
          x: (2 * (i % 3) + 1) / 6 + shifts[2 * i]!,
          y: (2 * Math.floor(i / 3) + 1) / 6 + shifts[2 * i + 1]!,
          angle: 0,
        }));
        const best = (1 - 2 / 128 - 2 / 64) / 3;
        const start = { scale: best, placements };
        const options = { canTurn: true, steps: 12, maxScale: Infinity, trust: 0.004 };
        const { scale } = tighten(pieces, start, margins, options)!;
        expect(scale / best).toBeGreaterThan(0.97);
        expect(scale / best).toBeLessThanOrEqual(1);
      }),
      { numRuns: 20, endOnFailure: true },
    );
  });

  it('never grows beyond the largest scale allowed', () => {
    const margins = { border: 0, gutter: 0.01 };
    const start = { scale: 0.2, placements: [{ x: 0.5, y: 0.5, angle: 0 }] };
    const options = { canTurn: true, steps: 40, maxScale: 0.31, trust: 0.01 };
    const { scale } = tighten([pieceOf(rectangle(1, 1))], start, margins, options)!;
    expect(scale).toBeCloseTo(0.31, 6);
  });
});
