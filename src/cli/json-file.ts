import { readFileSync } from 'node:fs';
import { FormatError } from '../errors.js';
import { parseJson } from '../io/index.js';

/**
 * The content of a JSON file that an option names.
 *
 * @throws FILE_UNREADABLE, FORMAT_INVALID
 */
export function readJsonFile(path: string, option: string): unknown {
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch (cause) {
    throw new FormatError(
      'FILE_UNREADABLE',
      `${option}: the file cannot be read, got '${path}', expected a JSON file`,
      { path },
      { cause },
    );
  }
  return parseJson(text, option);
}
