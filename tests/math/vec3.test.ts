import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../src/math/index.js';
import { add, cross, dot, length, normalize, scale, subtract, vec3At } from '../../src/math/index.js';

// Whole numbers, so that every law of the algebra holds exactly.
const whole = fc.integer({ min: -1000, max: 1000 });
const vectors: fc.Arbitrary<Vec3> = fc.tuple(whole, whole, whole);
/** Without zeros of either sign to tell apart. */
const plain = (v: readonly number[]) => v.map((x) => x + 0);

describe('Vec3', () => {
  it('adds, subtracts and scales component by component', () => {
    expect(add([1, 2, 3], [10, 20, 30])).toEqual([11, 22, 33]);
    expect(subtract([10, 20, 30], [1, 2, 3])).toEqual([9, 18, 27]);
    expect(scale([1, -2, 3], 4)).toEqual([4, -8, 12]);
    expect(vec3At([0, 1, 2, 3, 4, 5, 6, 7, 8], 1)).toEqual([3, 4, 5]);
  });

  it('multiplies as the axes do', () => {
    expect(cross([1, 0, 0], [0, 1, 0])).toEqual([0, 0, 1]);
    expect(cross([0, 1, 0], [0, 0, 1])).toEqual([1, 0, 0]);
    expect(cross([0, 0, 1], [1, 0, 0])).toEqual([0, 1, 0]);
    expect(dot([1, 2, 3], [4, 5, 6])).toBe(32);
  });

  it('keeps the identities of Lagrange and of the triple product', () => {
    fc.assert(
      fc.property(vectors, vectors, vectors, (a, b, c) => {
        const n = cross(a, b);
        expect(dot(n, n)).toBe(dot(a, a) * dot(b, b) - dot(a, b) ** 2);
        expect(dot(n, a)).toBe(0);
        expect(dot(n, b)).toBe(0);
        expect(dot(n, c)).toBe(dot(cross(b, c), a));
        expect(plain(cross(b, a))).toEqual(plain(scale(n, -1)));
      }),
    );
  });

  it('has lengths, and unit vectors but for zero', () => {
    expect(length([2, 3, 6])).toBe(7);
    expect(normalize([0, 0, 0])).toEqual([0, 0, 0]);
    fc.assert(
      fc.property(vectors, (a) => {
        if (length(a) === 0) return;
        const unit = normalize(a);
        expect(length(unit)).toBeCloseTo(1, 14);
        scale(unit, length(a)).forEach((x, k) => {
          expect(x).toBeCloseTo(a[k]!, 9);
        });
      }),
    );
  });
});
