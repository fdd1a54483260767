import type { DrawnSeam } from './drawn-set.js';
import type { SeamStyle } from './palette.js';
import { SEAM_COLOURS, SEAM_DASHES } from './palette.js';

/**
 * One style for each seam. Left and right seams of one part and role are pairs, longest with longest, and look
 * alike, so that a glance at the layout shows what belongs together; seams beyond colours × dashes start over.
 */
export function styleSeams(seams: readonly DrawnSeam[]): SeamStyle[] {
  const keys = pairKeys(seams);
  const numbers = new Map<string, number>();
  return keys.map((key) => {
    let number = numbers.get(key);
    if (number === undefined) {
      number = numbers.size;
      numbers.set(key, number);
    }
    const colour = SEAM_COLOURS[number % SEAM_COLOURS.length]!;
    const dash = SEAM_DASHES[Math.floor(number / SEAM_COLOURS.length) % SEAM_DASHES.length]!;
    return { colour, dash };
  });
}

/** A key for each seam that only its partner on the other side shares. */
function pairKeys(seams: readonly DrawnSeam[]): string[] {
  const keys = seams.map((_, index) => `#${index}`);
  const groups = new Map<string, number[]>();
  seams.forEach(({ role = '', part = '', side = '' }, index) => {
    if (part === '' || (side !== 'left' && side !== 'right')) return;
    const name = JSON.stringify([role, part, side]);
    groups.set(name, [...(groups.get(name) ?? []), index]);
  });
  const lengthOf = (index: number) => seams[index]!.length ?? seams[index]!.edges.length;
  for (const [name, indices] of groups) {
    const [role, part] = JSON.parse(name) as string[];
    // Lengths of partners agree but for rounding; equal ones keep their order.
    [...indices]
      .sort((a, b) => Math.fround(lengthOf(b)) - Math.fround(lengthOf(a)) || a - b)
      .forEach((index, rank) => {
        keys[index] = JSON.stringify([role, part, rank]);
      });
  }
  return keys;
}
