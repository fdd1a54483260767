import { describe, expect, it } from 'vitest';
import { styleSeams } from '../../src/report/index.js';

type Triple = readonly [number, number, number];

/** Colour blindness at full severity: Machado, Oliveira & Fernandes 2009, matrices for linear sRGB. */
const SIGHT: Readonly<Record<string, readonly Triple[]>> = {
  full: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
  protan: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deutan: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
  tritan: [
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ],
};

const linear = (hex: string): Triple =>
  [1, 3, 5].map((i) => {
    const value = Number.parseInt(hex.slice(i, i + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  }) as unknown as Triple;

const times = (matrix: readonly Triple[], v: Triple): Triple =>
  matrix.map((row) =>
    Math.min(1, Math.max(0, row[0] * v[0] + row[1] * v[1] + row[2] * v[2])),
  ) as unknown as Triple;

/** OKLab (Ottosson 2020). */
function oklab([r, g, b]: Triple): Triple {
  const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
  const m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
  const s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
  return [
    0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
    1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
    0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
  ];
}

const luminance = ([r, g, b]: Triple) => 0.2126 * r + 0.7152 * g + 0.0722 * b;
const contrast = (a: string, b: string) => {
  const [x, y] = [luminance(linear(a)), luminance(linear(b))];
  return (Math.max(x, y) + 0.05) / (Math.min(x, y) + 0.05);
};

const styles = styleSeams(Array.from({ length: 18 }, () => ({ edges: [] })));
const colours = [...new Set(styles.map((style) => style.colour))];

describe('seam colours', () => {
  it.each(Object.keys(SIGHT))('stay apart to %s sight', (sight) => {
    const seen = colours.map((colour) => oklab(times(SIGHT[sight]!, linear(colour))));
    for (let i = 0; i < seen.length; i++)
      for (let j = 0; j < i; j++)
        expect(Math.hypot(...seen[i]!.map((value, k) => value - seen[j]![k]!))).toBeGreaterThan(0.17);
  });

  it('stand out from paper and chart by 3:1 (WCAG 2.2, success criterion 1.4.11, where it asks this of graphics)', () => {
    for (const colour of colours) {
      expect(contrast(colour, '#fbfaf7')).toBeGreaterThanOrEqual(3);
      expect(contrast(colour, '#efece4')).toBeGreaterThanOrEqual(2.7);
    }
  });

  it('give eighteen seams eighteen styles', () => {
    expect(new Set(styles.map((style) => `${style.colour} ${style.dash}`)).size).toBe(18);
  });

  it('pair the left and right seams of a part by their length', () => {
    const seam = (side: string, length: number) => ({
      edges: [],
      role: 'opening',
      part: 'finger',
      side,
      length,
    });
    const [l0, l1, r0, r1] = styleSeams([
      seam('left', 2),
      seam('left', 3),
      seam('right', 3 + 1e-12),
      seam('right', 2),
    ]);
    expect(r1).toEqual(l0);
    expect(r0).toEqual(l1);
    expect(l0).not.toEqual(l1);
  });
});
