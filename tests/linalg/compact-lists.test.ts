import { describe, expect, it } from 'vitest';
import { compactLists, GONE } from '../../src/linalg/compact-lists.js';

describe('compactLists', () => {
  it('moves what is needed to the front in the order it lies in, and lets go of the rest', () => {
    const lists = Int32Array.of(9, 40, 41, 9, 10, 11, 12, 30, 9, 9);
    // Node 1 lies behind node 4; node 0 is empty, node 2 gone.
    const starts = Int32Array.of(3, 4, 8, 7, 1);
    const lengths = Int32Array.of(0, 3, 2, 1, 2);
    const kinds = Uint8Array.of(0, 1, GONE, 0, 0);
    expect(compactLists(lists, starts, lengths, kinds)).toBe(6);
    expect([...lists.subarray(0, 6)]).toEqual([40, 41, 10, 11, 12, 30]);
    expect([starts[4], starts[1], starts[3]]).toEqual([0, 2, 5]);
    expect([starts[0], starts[2]]).toEqual([3, 8]);
  });
});
