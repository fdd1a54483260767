import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  chooseSpread,
  describeTradeOff,
  findParetoFront,
  gradeFigures,
  scoreSet,
} from '../../src/ranking/index.js';

const figures = fc.record({
  stretch: fc.double({ min: 0, max: 5, noNaN: true }),
  exposure: fc.double({ min: 0, max: 10, noNaN: true }),
  pieces: fc.integer({ min: 1, max: 60 }),
  symmetry: fc.double({ min: 0, max: 1, noNaN: true }),
  fill: fc.double({ min: 0, max: 1, noNaN: true }),
});

describe('findParetoFront', () => {
  it('drops what another beats, and keeps one of two alike', () => {
    expect(
      findParetoFront([
        [1, 5],
        [2, 4],
        [2, 5],
        [1, 5],
        [3, 3],
      ]),
    ).toEqual([0, 1, 4]);
  });

  it('always keeps the least of each figure', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ max: 9, min: 0 }), fc.integer({ max: 9, min: 0 })), { minLength: 1 }),
        (entries) => {
          const front = findParetoFront(entries).map((i) => entries[i]!);
          for (const k of [0, 1]) {
            expect(Math.min(...front.map((entry) => entry[k]!))).toBe(
              Math.min(...entries.map((entry) => entry[k]!)),
            );
          }
        },
      ),
    );
  });
});

describe('scoreSet', () => {
  it('lies between 0 and 1 and falls when a figure gets worse', () => {
    fc.assert(
      fc.property(figures, (set) => {
        const score = scoreSet(set);
        expect(score).toBeGreaterThan(0);
        expect(score).toBeLessThanOrEqual(1);
        expect(scoreSet({ ...set, stretch: set.stretch + 1 })).toBeLessThan(score);
        expect(scoreSet({ ...set, exposure: set.exposure + 1 })).toBeLessThan(score);
      }),
    );
  });

  it('grades by fixed half-way points', () => {
    const half = gradeFigures({ stretch: 0.2, exposure: 4, pieces: 24, symmetry: 0.5, fill: 0.5 });
    for (const grade of Object.values(half)) expect(grade).toBeCloseTo(0.5, 12);
    const best = gradeFigures({ stretch: -1e-15, exposure: 0, pieces: 1, symmetry: 1, fill: 1 });
    for (const grade of Object.values(best)) expect(grade).toBe(1);
    expect(gradeFigures({ stretch: 0, exposure: 0, pieces: 12, symmetry: 1 })).toMatchObject({ pieces: 1 });
  });

  it('is the mean of the grades that there are, by weight', () => {
    const set = { stretch: 0.6, exposure: 4, pieces: 24, symmetry: 1 };
    // Grades 1/4, 1/2, 1/2, 1 by weights 0.3, 0.3, 0.1, 0.1.
    expect(scoreSet(set)).toBeCloseTo((0.075 + 0.15 + 0.05 + 0.1) / 0.8, 12);
    expect(scoreSet({ ...set, fill: 1 })).toBeCloseTo(0.375 + 0.2, 12);
    expect(scoreSet(set, { stretch: 0, exposure: 0, pieces: 0, symmetry: 0 })).toBe(0);
  });

  it('counts only what the caller weighs', () => {
    const weights = { stretch: 0, exposure: 0, pieces: 0, fill: 0, symmetry: 1 };
    expect(scoreSet({ stretch: 3, exposure: 9, pieces: 40, symmetry: 0.75 }, weights)).toBe(0.75);
  });
});

describe('describeTradeOff', () => {
  const base = { stretch: 0.3, exposure: 4, pieces: 6, symmetry: 1 };

  it('says what is more and what is less', () => {
    expect(describeTradeOff({ ...base, pieces: 8, stretch: 0.2 }, base)).toBe(
      '2 pieces more, 33 % less stretch',
    );
    expect(describeTradeOff({ ...base, pieces: 5, exposure: 5 }, base)).toBe(
      '1 piece fewer, 25 % more seam in view',
    );
    expect(describeTradeOff(base, base)).toBe('much the same on every count');
  });

  it('is silent below one in twenty, and where nothing can be compared', () => {
    const same = 'much the same on every count';
    const hundred = { ...base, stretch: 100 };
    expect(describeTradeOff({ ...hundred, stretch: 104.9 }, hundred)).toBe(same);
    expect(describeTradeOff({ ...hundred, stretch: 95.1 }, hundred)).toBe(same);
    expect(describeTradeOff({ ...hundred, stretch: 106 }, hundred)).toBe('6 % more stretch');
    expect(describeTradeOff({ ...hundred, stretch: 94 }, hundred)).toBe('6 % less stretch');
    expect(describeTradeOff({ ...base, stretch: 0 }, base)).toBe(same);
    expect(describeTradeOff(base, { ...base, exposure: 0 })).toBe(same);
    // An eighth has no rounding: 1.125 − 1.
    expect(describeTradeOff({ ...base, exposure: 4.5 }, base)).toBe('13 % more seam in view');
  });
});

describe('chooseSpread', () => {
  it('leaves what offers much but is far worse', () => {
    expect(chooseSpread([0.7, 0.69, 0.4], [[10], [9.9], [0]], 2)).toEqual([0, 1]);
  });

  it('takes as many as asked for, or all; best score first, the earlier one among equals', () => {
    expect(chooseSpread([0.5, 0.7, 0.7], [[0], [0], [0]], 1)).toEqual([1]);
    expect(chooseSpread([0.5, 0.7, 0.6], [[0], [1], [2]], 9)).toEqual([1, 2, 0]);
    expect(chooseSpread([0.7, 0.7, 0.7], [[5], [5], [5]], 2)).toEqual([0, 1]);
    expect(chooseSpread([], [], 3)).toEqual([]);
  });

  it('measures each figure by its range', () => {
    // 1 of 1 in the first figure is more than 30 of 100 in the second.
    const figures = [
      [1, 100],
      [0, 100],
      [1, 70],
      [0.5, 0],
    ];
    expect(chooseSpread([0.7, 0.7, 0.7, 0.5], figures, 2)).toEqual([0, 1]);
  });

  it('asks for what none that is picked already has', () => {
    const figures = [
      [10, 10],
      [0, 10],
      [1, 9],
      [9, 5],
    ];
    expect(chooseSpread([0.7, 0.7, 0.7, 0.7], figures, 3)).toEqual([0, 1, 3]);
  });

  it('counts for nothing what is worse, however far off', () => {
    const figures = [
      [5, 5],
      [4, 6],
      [4.9, 100],
    ];
    expect(chooseSpread([0.7, 0.7, 0.7], figures, 2)).toEqual([0, 1]);
  });

  it('counts an offer less the lower the score, and hardly at all far below the best', () => {
    const figures = [[10], [1], [0]];
    expect(chooseSpread([0.7, 0.7, 0.7], figures, 2)).toEqual([0, 2]);
    expect(chooseSpread([0.7, 0.7, 0.68], figures, 2)).toEqual([0, 1]);
    expect(chooseSpread([0.7, 0.7, 0.2], [[10], [9.9], [0]], 2)).toEqual([0, 1]);
    // Even then an offer counts for something.
    expect(chooseSpread([0.7, 0.2, 0.2], [[10], [5], [0]], 2)).toEqual([0, 2]);
  });

  it('takes the best first and then what offers most beside it', () => {
    expect(chooseSpread([0.7, 0.69, 0.68], [[10], [9.9], [0]], 2)).toEqual([0, 2]);
  });
});
