import type { DrawnSeam } from './drawn-set.js';
import type { SeamStyle } from './palette.js';
import { SEAM_COLOURS, SEAM_DASHES } from './palette.js';

/**
 * One style for each seam. Left and right seams of one part and role are a pair and look alike, so that a
 * glance at the layout shows what belongs together; seams beyond colours × dashes start over.
 */
export function styleSeams(seams: readonly DrawnSeam[]): SeamStyle[] {
  const numbers = new Map<string, number>();
  const seen = new Map<string, number>();
  return seams.map((seam, index) => {
    const { role = '', part = '', side = '' } = seam;
    const isSided = side === 'left' || side === 'right';
    // The third left finger seam pairs with the third right one.
    const count = seen.get(`${role}|${part}|${side}`) ?? 0;
    seen.set(`${role}|${part}|${side}`, count + 1);
    const key = isSided && part !== '' ? `${role}|${part}|${count}` : `#${index}`;
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
