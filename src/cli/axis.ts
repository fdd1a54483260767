import { InvalidOptionError } from '../errors.js';
import type { Vec3 } from '../math/index.js';

/**
 * Reads a signed axis such as `+y`, `-z` or `x` as a unit vector.
 *
 * @throws OPTION_INVALID
 */
export function parseAxis(text: string, option: string): Vec3 {
  const match = /^([+-]?)([xyz])$/i.exec(text);
  if (!match) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `${option}: not an axis, got '${text}', expected x, y or z with an optional sign, such as +y or -z`,
      { option },
    );
  }
  const sign = match[1] === '-' ? -1 : 1;
  const axis = match[2]!.toLowerCase();
  return [axis === 'x' ? sign : 0, axis === 'y' ? sign : 0, axis === 'z' ? sign : 0];
}

/** The same direction as text, where it is an axis. */
export function formatAxis(axis: Vec3): string {
  const names = ['x', 'y', 'z'];
  const index = axis.findIndex((value) => Math.abs(value) === 1);
  return index < 0
    ? axis.map((value) => value.toFixed(3)).join(',')
    : (axis[index]! < 0 ? '-' : '+') + names[index];
}
