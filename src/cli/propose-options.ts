import { InvalidOptionError } from '../errors.js';
import type { MeshDocument } from '../io/index.js';
import type { DensityWeights, LayoutOptions } from '../layout/index.js';
import type { ProposeOptions } from '../proposing/index.js';
import type { OptionValues } from './command.js';
import { readFaceWeights } from './face-weights.js';
import { readHints, readProfile } from './hints-file.js';
import { readChoice, readInteger, readNumber, readText } from './parse-arguments.js';
import type { FileChoice } from './proposal-files.js';

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

/**
 * The sheet's options that the command line's options stand for, but for the axes. Without the document, what it
 * says of its unit and its faces is left out.
 *
 * @throws OPTION_INVALID, and what `readFaceWeights` throws
 */
export function readLayoutOptions(
  options: OptionValues,
  document?: MeshDocument,
): Omit<LayoutOptions, 'up' | 'front' | 'locked' | 'keepGoing' | 'signal' | 'onProgress'> {
  return {
    resolution: readInteger(options, 'resolution', 16, 65536),
    padding: readNumber(options, 'padding', 0, 8192),
    rotation: readChoice(options, 'rotation', ['free', 'quarter', 'none']),
    effort: readNumber(options, 'effort', 0, 100),
    density: readNumber(options, 'density', 1e-9, 1e9),
    metresPerUnit: readNumber(options, 'unit-metres', 1e-9, 1e9) ?? document?.metersPerUnit,
    tiles: readInteger(options, 'tiles', 1, 1000),
    weights: {
      parts: readPartWeights(readText(options, 'weights')),
      faces: readFaceWeights(options, document),
    },
    stackMirrored: options['stack-mirrored'] === true,
    pairMirrored: options['pair-mirrored'] === true,
  };
}

/** Which files the command line asks for besides those that every set has. */
export const readFileChoice = (options: OptionValues): FileChoice => ({
  hasGlb: options.glb === true,
  hasTemplates: options.template === true,
});

/** Reads a list such as head=1.5,hand=1.2. */
function readPartWeights(text: string | undefined): DensityWeights['parts'] {
  if (text === undefined) return undefined;
  const parts: Record<string, number> = Object.create(null);
  for (const item of text.split(',')) {
    const [, name, number] = /^\s*([^=]*[^=\s])\s*=\s*(\S+)\s*$/.exec(item) ?? [];
    const weight = Number(number);
    if (name === undefined || !(weight > 0 && Number.isFinite(weight))) {
      throw new InvalidOptionError(
        'OPTION_INVALID',
        `--weights: not a part and a number above 0, got '${item}', expected such as head=1.5`,
        { option: 'weights' },
      );
    }
    parts[name] = weight;
  }
  return parts;
}
