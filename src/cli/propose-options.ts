import type { MeshDocument } from '../io/index.js';
import type { LayoutOptions } from '../layout/index.js';
import type { ProposeOptions } from '../proposing/index.js';
import type { OptionValues } from './command.js';
import { readHints, readProfile } from './hints-file.js';
import { readChoice, readInteger, readNumber } from './parse-arguments.js';

/**
 * The library's options that the command line's options stand for, but for the axes. Without the document,
 * what the options say of its groups and UVs is left out.
 *
 * @throws OPTION_INVALID, and what `readHints` throws
 */
export function readProposeOptions(options: OptionValues, document?: MeshDocument): ProposeOptions {
  return {
    sets: readInteger(options, 'sets', 1, 8),
    stretchLimit: readNumber(options, 'stretch-limit', 4, 1e6),
    chartLimit: readInteger(options, 'chart-limit', 1, 1e6),
    viewpoints: readChoice(options, 'viewpoints', ['all-round', 'front', 'behind-above']),
    symmetry: readChoice(options, 'symmetry', ['auto', 'off']),
    hints: readHints(options, document),
    profile: readProfile(options),
  };
}

/** @throws OPTION_INVALID */
export function readLayoutOptions(
  options: OptionValues,
): Pick<LayoutOptions, 'resolution' | 'padding' | 'rotation' | 'effort'> {
  return {
    resolution: readInteger(options, 'resolution', 16, 65536),
    padding: readNumber(options, 'padding', 0, 8192),
    rotation: readChoice(options, 'rotation', ['free', 'quarter', 'none']),
    effort: readNumber(options, 'effort', 0, 100),
  };
}
