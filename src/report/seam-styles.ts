import { appendTo } from '../structures/index.js';
import type { DrawnSeam } from './drawn-set.js';
import type { SeamStyle } from './palette.js';
import { SEAM_COLOURS, SEAM_DASHES } from './palette.js';

/**
 * One style for each seam. Left and right seams of one part and role are pairs, longest with longest, and look
 * alike, so that a glance at the layout shows what belongs together. The longest seams get whole lines, later
 * ones dashes; seams beyond colours × dashes start over.
 */
export function styleSeams(seams: readonly DrawnSeam[]): SeamStyle[] {
  const keys = pairKeys(seams);
  const lengths = new Map<string, number>();
  keys.forEach((key, i) => {
    lengths.set(key, Math.max(lengths.get(key) ?? 0, Math.fround(lengthOf(seams[i]!))));
  });
  // The sort is stable, so equal lengths keep the order of the seams.
  const order = [...lengths].sort((a, b) => b[1] - a[1]).map(([key]) => key);
  const numbers = new Map(order.map((key, number) => [key, number]));
  return keys.map((key) => {
    const number = numbers.get(key)!;
    const colour = SEAM_COLOURS[number % SEAM_COLOURS.length]!;
    const dash = SEAM_DASHES[Math.floor(number / SEAM_COLOURS.length) % SEAM_DASHES.length]!;
    return { colour, dash };
  });
}

const lengthOf = (seam: DrawnSeam): number => seam.length ?? seam.edges.length;

/** A key for each seam that only its partner on the other side shares. */
function pairKeys(seams: readonly DrawnSeam[]): string[] {
  const keys = seams.map((_, index) => `#${index}`);
  const groups = new Map<string, number[]>();
  seams.forEach(({ role = '', part = '', side = '' }, index) => {
    if (part === '' || (side !== 'left' && side !== 'right')) return;
    const name = JSON.stringify([role, part, side]);
    appendTo(groups, name, index);
  });
  for (const [name, indices] of groups) {
    const [role, part] = JSON.parse(name) as string[];
    // Lengths of partners agree but for rounding; equal ones keep their order.
    [...indices]
      .sort((a, b) => Math.fround(lengthOf(seams[b]!)) - Math.fround(lengthOf(seams[a]!)) || a - b)
      .forEach((index, rank) => {
        keys[index] = JSON.stringify([role, part, rank]);
      });
  }
  return keys;
}
