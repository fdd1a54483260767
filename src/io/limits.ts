import { FormatError, InvalidOptionError } from '../errors.js';

/** Caps that keep a hostile or broken file from taking the machine's memory. */
export interface ReadLimits {
  /**
   * Largest input in bytes. Range: at least 1.
   * @defaultValue 1073741824 (1 GiB)
   */
  readonly maxBytes?: number;
  /**
   * Largest number of points, of faces and of corners, each counted alone. Range: at least 1.
   * @defaultValue 134217728
   */
  readonly maxElements?: number;
}

export const READ_DEFAULTS: Readonly<Required<ReadLimits>> = Object.freeze({
  maxBytes: 2 ** 30,
  maxElements: 2 ** 27,
});

/** The limits with the defaults filled in. @throws OPTION_INVALID */
export function resolveLimits(limits: ReadLimits, caller: string): Required<ReadLimits> {
  const resolved = {
    maxBytes: limits.maxBytes ?? READ_DEFAULTS.maxBytes,
    maxElements: limits.maxElements ?? READ_DEFAULTS.maxElements,
  };
  for (const [name, value] of Object.entries(resolved)) {
    if (!(value >= 1)) {
      throw new InvalidOptionError(
        'OPTION_INVALID',
        `${caller}: the option ${name} is out of range, got ${value}, expected at least 1`,
        { option: name, value },
      );
    }
  }
  return resolved;
}

/** @throws FORMAT_TOO_LARGE */
export function checkByteLength(byteLength: number, limits: Required<ReadLimits>, caller: string): void {
  if (byteLength > limits.maxBytes) {
    throw new FormatError(
      'FORMAT_TOO_LARGE',
      `${caller}: the input is too large, got ${byteLength} bytes, expected at most ${limits.maxBytes} (option maxBytes)`,
      { byteLength, maxBytes: limits.maxBytes },
    );
  }
}

/** @throws FORMAT_TOO_LARGE */
export function checkElementCount(
  count: number,
  what: string,
  limits: Required<ReadLimits>,
  caller: string,
): void {
  if (count > limits.maxElements) {
    throw new FormatError(
      'FORMAT_TOO_LARGE',
      `${caller}: too many ${what}, got ${count}, expected at most ${limits.maxElements} (option maxElements)`,
      { count, what, maxElements: limits.maxElements },
    );
  }
}
