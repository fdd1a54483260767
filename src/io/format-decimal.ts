import { InvalidOptionError } from '../errors.js';

/** Shortest spelling of a number rounded to `decimals` decimals, without an exponent where that fits. */
export function formatDecimal(value: number, decimals: number): string {
  const text = String(value);
  if (!text.includes('e')) return text;
  const fixed = value.toFixed(decimals);
  return fixed.includes('.') ? fixed.replace(/\.?0+$/, '') : fixed;
}

/** @throws OPTION_INVALID unless `decimals` is a whole number from 1 to 15 */
export function resolveDecimals(decimals: number, caller: string): number {
  if (!Number.isInteger(decimals) || decimals < 1 || decimals > 15) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `${caller}: the option decimals is out of range, got ${decimals}, expected a whole number from 1 to 15`,
      { option: 'decimals', value: decimals },
    );
  }
  return decimals;
}
