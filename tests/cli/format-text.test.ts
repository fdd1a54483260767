import { expect, it } from 'vitest';
import { formatFacts, formatJson, formatNumber, formatTable } from '../../src/cli/format-text.js';

it('writes numbers short', () => {
  expect([0, 1, 4.1234, 0.000123456, 12345.6, -2.5].map(formatNumber)).toEqual([
    '0',
    '1',
    '4.12',
    '0.000123',
    '12346',
    '-2.5',
  ]);
});

it('lines columns up', () => {
  expect(
    formatTable([
      ['set', 'pieces'],
      ['1 few', '6'],
      ['2 more', '12'],
    ]),
  ).toBe('set     pieces\n1 few        6\n2 more      12\n');
  expect(
    formatFacts([
      ['a', 'x'],
      ['long', 'y'],
    ]),
  ).toBe('a     x\nlong  y\n');
});

it('writes JSON that reads back, arrays of numbers on one line', () => {
  const value = {
    name: 'a [1, 2]',
    faces: Int32Array.of(3, 4),
    nested: {
      pairs: [
        [1, 2],
        [3, 4],
      ],
    },
    none: Number.NaN,
  };
  const text = formatJson(value);
  expect(JSON.parse(text)).toEqual({
    name: 'a [1, 2]',
    faces: [3, 4],
    nested: {
      pairs: [
        [1, 2],
        [3, 4],
      ],
    },
    none: null,
  });
  expect(text).toContain('"faces": [3,4]');
  expect(text.endsWith('}\n')).toBe(true);
});
