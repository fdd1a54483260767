import { describe, expect, it } from 'vitest';
import { planarBounds } from '../../src/math/index.js';

describe('planarBounds', () => {
  it('are the least and the greatest of both coordinates, in whatever order points come', () => {
    expect(planarBounds([3, -1, -2, 5, 0, 0])).toEqual([-2, -1, 3, 5]);
    expect(planarBounds(Float64Array.of(4, 7))).toEqual([4, 7, 4, 7]);
    expect(planarBounds([])).toEqual([Infinity, Infinity, -Infinity, -Infinity]);
  });
});
