import { readFileSync } from 'node:fs';
import { FormatError } from '../errors.js';
import { parseJson } from '../io/index.js';

/**
 * The text of a file that an option names.
 *
 * @param expected - what the file should be, for the error
 * @throws FILE_UNREADABLE
 */
export function readOptionFile(path: string, option: string, expected: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch (cause) {
    throw new FormatError(
      'FILE_UNREADABLE',
      `${option}: the file cannot be read, got '${path}', expected ${expected}`,
      { path },
      { cause },
    );
  }
}

/**
 * The content of a JSON file that an option names.
 *
 * @throws FILE_UNREADABLE, FORMAT_INVALID
 */
export const readJsonFile = (path: string, option: string): unknown =>
  parseJson(readOptionFile(path, option, 'a JSON file'), option);
