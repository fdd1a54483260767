/** Red, green and blue, 0..255. */
export type Rgb = readonly [number, number, number];

/** The bare model. */
export const CLAY: Rgb = [236, 228, 212];

/** Dyed cloths for parts and pieces: pale, so that seams stand out, and apart in lightness as well as in hue. */
export const CLOTH_TINTS: readonly Rgb[] = [
  [201, 214, 226],
  [240, 214, 168],
  [183, 193, 158],
  [226, 193, 190],
  [160, 182, 196],
  [206, 184, 150],
  [219, 226, 199],
  [186, 166, 186],
];

/** From pale to deep: straw, clay-rose, plum, night. Falls steadily in lightness, so it reads without hue. */
export const EVEN_RAMP: readonly Rgb[] = [
  [250, 242, 214],
  [240, 202, 150],
  [216, 142, 112],
  [158, 84, 106],
  [78, 44, 92],
];

/** Two-sided: blue-grey for less, straw for even, umber for more; safe without red or green. */
export const SIDED_RAMP: readonly Rgb[] = [
  [34, 72, 122],
  [126, 164, 198],
  [247, 241, 224],
  [222, 166, 92],
  [128, 66, 18],
];

/** The colour at 0..1 along a ramp. */
export function rampColour(ramp: readonly Rgb[], at: number): Rgb {
  const x = Math.min(1, Math.max(0, at || 0)) * (ramp.length - 1);
  const i = Math.min(ramp.length - 2, Math.floor(x));
  return blend(ramp[i]!, ramp[i + 1]!, x - i);
}

/** A colour between two. */
export function blend(a: Rgb, b: Rgb, part: number): Rgb {
  return [0, 1, 2].map((k) => Math.round(a[k]! + (b[k]! - a[k]!) * part)) as unknown as Rgb;
}

/** For style sheets. */
export const cssColour = ([r, g, b]: Rgb): string => `rgb(${r} ${g} ${b})`;
