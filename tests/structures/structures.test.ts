import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BoundedMap, DisjointSet, IndexedHeap } from '../../src/structures/index.js';

describe('IndexedHeap', () => {
  it('gives keys back by priority, the lowest key first among equals', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 20 }), { minLength: 1, maxLength: 60 }),
        (priorities) => {
          const heap = new IndexedHeap(priorities.length);
          priorities.forEach((priority, key) => {
            heap.pushOrDecrease(key, priority);
          });
          const order = priorities.map(() => heap.pop());
          const expected = priorities
            .map((_, key) => key)
            .sort((a, b) => priorities[a]! - priorities[b]! || a - b);
          expect(order).toEqual(expected);
          expect(heap.pop()).toBe(-1);
        },
      ),
    );
  });

  it('lowers a priority, never raises it, and can be used again after clear', () => {
    const heap = new IndexedHeap(3);
    heap.pushOrDecrease(0, 5);
    heap.pushOrDecrease(1, 4);
    heap.pushOrDecrease(0, 9);
    heap.pushOrDecrease(0, 1);
    expect(heap.size).toBe(2);
    expect(heap.pop()).toBe(0);
    heap.clear();
    expect(heap.size).toBe(0);
    heap.pushOrDecrease(1, 7);
    expect(heap.pop()).toBe(1);
  });
});

describe('DisjointSet', () => {
  it('names every set by its lowest member, in whatever order sets were joined', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.nat(19), fc.nat(19)), { maxLength: 30 }), (pairs) => {
        const forwards = new DisjointSet(20);
        const backwards = new DisjointSet(20);
        for (const [a, b] of pairs) forwards.union(a, b);
        for (const [a, b] of [...pairs].reverse()) backwards.union(b, a);
        expect(forwards.labels()).toEqual(backwards.labels());
        for (let x = 0; x < 20; x++) expect(forwards.find(x)).toBeLessThanOrEqual(x);
      }),
    );
  });
});

describe('BoundedMap', () => {
  it('keeps the entries used last whose weights fit, and always the latest', () => {
    const step = fc.record({
      key: fc.integer({ min: 0, max: 6 }),
      weight: fc.integer({ min: 0, max: 12 }),
      isRead: fc.boolean(),
    });
    fc.assert(
      fc.property(fc.array(step, { maxLength: 60 }), (steps) => {
        const map = new BoundedMap<number, number>(10);
        // The same as a list, the one used last at the end.
        let list: { key: number; weight: number; value: number }[] = [];
        steps.forEach(({ key, weight, isRead }, value) => {
          const known = list.find((entry) => entry.key === key);
          list = list.filter((entry) => entry.key !== key);
          if (isRead) {
            expect(map.get(key)).toBe(known?.value);
            if (known) list.push(known);
            return;
          }
          map.set(key, value, weight);
          list.push({ key, weight, value });
          while (list.length > 1 && list.reduce((sum, entry) => sum + entry.weight, 0) > 10) list.shift();
          expect(map.size).toBe(list.length);
        });
      }),
    );
  });
});
