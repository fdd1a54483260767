import { readFileSync } from 'node:fs';
import { FormatError } from '../errors.js';
import type { LayoutOptions } from '../layout/index.js';
import type { ProposeOptions, SeamHints } from '../proposing/index.js';
import type { OptionValues } from './command.js';
import { readChoice, readInteger, readNumber, readText } from './parse-arguments.js';

/** The library's options that the command line's options stand for, but for the axes. @throws OPTION_INVALID */
export function readProposeOptions(options: OptionValues): ProposeOptions {
  const hints = readText(options, 'hints');
  const profile = readText(options, 'profile');
  return {
    sets: readInteger(options, 'sets', 1, 8),
    stretchLimit: readNumber(options, 'stretch-limit', 4, 1e6),
    chartLimit: readInteger(options, 'chart-limit', 1, 1e6),
    viewpoints: readChoice(options, 'viewpoints', ['all-round', 'front', 'behind-above']),
    symmetry: readChoice(options, 'symmetry', ['auto', 'off']),
    hints: hints === undefined ? undefined : (readJsonObject(hints, '--hints') as SeamHints),
    profile:
      profile === undefined ? undefined : (readJsonObject(profile, '--profile') as ProposeOptions['profile']),
  };
}

/** @throws OPTION_INVALID */
export function readLayoutOptions(options: OptionValues): Pick<LayoutOptions, 'resolution' | 'padding'> {
  return {
    resolution: readInteger(options, 'resolution', 16, 65536),
    padding: readNumber(options, 'padding', 0, 8192),
  };
}

/** A JSON file that holds one object. @throws FILE_UNREADABLE, FORMAT_INVALID */
function readJsonObject(path: string, option: string): object {
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch (cause) {
    throw new FormatError(
      'FILE_UNREADABLE',
      `${option}: cannot read the file, got '${path}', expected a JSON file`,
      {},
      { cause },
    );
  }
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (cause) {
    throw new FormatError(
      'FORMAT_INVALID',
      `${option}: '${path}' is not JSON: ${(cause as Error).message}`,
      {},
      { cause },
    );
  }
  if (typeof value !== 'object' || value === null || Array.isArray(value)) {
    throw new FormatError('FORMAT_INVALID', `${option}: '${path}' holds no object, expected { … }`);
  }
  return value;
}
