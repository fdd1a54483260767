import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { listMembers } from '../../src/structures/index.js';

describe('listMembers', () => {
  it('lists the members of groups, ascending, and empty groups', () => {
    expect(listMembers([2, 0, 2, 3, 0], 5)).toEqual({
      starts: Int32Array.of(0, 2, 2, 4, 5, 5),
      members: Int32Array.of(1, 4, 0, 2, 3),
    });
  });

  it('sorts by two keys when it is given the order of the second', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.nat(4), fc.nat(4)), { maxLength: 30 }), (pairs) => {
        const keys = (k: 0 | 1) => pairs.map((pair) => pair[k]);
        const { members } = listMembers(keys(0), 5, listMembers(keys(1), 5).members);
        const sorted = pairs.map((_, i) => i);
        sorted.sort((i, j) => pairs[i]![0] - pairs[j]![0] || pairs[i]![1] - pairs[j]![1] || i - j);
        expect([...members]).toEqual(sorted);
      }),
    );
  });
});
