import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { chooseSpread, describeTradeOff, findParetoFront, scoreSet } from '../../src/ranking/index.js';

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
});

describe('chooseSpread', () => {
  it('leaves what differs but is far worse', () => {
    expect(chooseSpread([0.7, 0.69, 0.4], [[0], [0.1], [10]], 2)).toEqual([0, 1]);
  });

  it('takes the best first and then what differs most from it', () => {
    expect(chooseSpread([0.7, 0.69, 0.68], [[0], [0.1], [10]], 2)).toEqual([0, 2]);
  });
});
