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

  it('keeps its word through pushes, decreases and pops in any order', () => {
    const step = fc.oneof(
      { weight: 3, arbitrary: fc.record({ key: fc.nat(15), priority: fc.nat(9) }) },
      { weight: 2, arbitrary: fc.constant('pop' as const) },
      { weight: 1, arbitrary: fc.constant('clear' as const) },
    );
    fc.assert(
      fc.property(fc.array(step, { maxLength: 80 }), (steps) => {
        const heap = new IndexedHeap(16);
        const model = new Map<number, number>();
        for (const each of steps) {
          if (each === 'clear') {
            heap.clear();
            model.clear();
          } else if (each === 'pop') {
            const [first] = [...model].sort(([a, p], [b, q]) => p - q || a - b);
            const key = heap.pop();
            expect(key).toBe(first?.[0] ?? -1);
            if (first) expect(heap.priority(key)).toBe(first[1]);
            model.delete(key);
          } else {
            heap.pushOrDecrease(each.key, each.priority);
            model.set(each.key, Math.min(model.get(each.key) ?? Infinity, each.priority));
            expect(heap.priority(each.key)).toBe(model.get(each.key));
          }
          expect(heap.size).toBe(model.size);
        }
      }),
      { numRuns: 300 },
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
  const pairs = fc.array(fc.tuple(fc.nat(19), fc.nat(19)), { maxLength: 30 });

  it('finds the lowest member and joins what was apart, as plain lists do', () => {
    fc.assert(
      fc.property(pairs, (joined) => {
        const sets = new DisjointSet(20);
        const lists = Array.from({ length: 20 }, (_, x) => new Set([x]));
        for (const [a, b] of joined) {
          expect(sets.union(a, b)).toBe(lists[a] !== lists[b]);
          const both = new Set([...lists[a]!, ...lists[b]!]);
          for (const x of both) lists[x] = both;
        }
        const lowest = lists.map((list) => Math.min(...list));
        const numbers = [...new Set(lowest)].sort((a, b) => a - b);
        for (let x = 0; x < 20; x++) expect(sets.find(x)).toBe(lowest[x]);
        const { labels, count } = sets.labels();
        expect(count).toBe(numbers.length);
        expect([...labels]).toEqual(lowest.map((x) => numbers.indexOf(x)));
      }),
    );
  });

  it('names sets alike in whatever order they were joined', () => {
    fc.assert(
      fc.property(pairs, (joined) => {
        const forwards = new DisjointSet(20);
        const backwards = new DisjointSet(20);
        for (const [a, b] of joined) forwards.union(a, b);
        for (const [a, b] of [...joined].reverse()) backwards.union(b, a);
        expect(forwards.labels()).toEqual(backwards.labels());
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
