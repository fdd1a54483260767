import { FormatError, InvalidOptionError } from '../errors.js';
import type { MeshDocument } from '../io/index.js';
import { checkSchema } from '../io/index.js';
import type { OptionValues } from './command.js';
import { readJsonFile } from './option-file.js';
import { readText } from './parse-arguments.js';

const OPTION = '--face-weights';

/**
 * Density weights painted on the faces: a JSON list of one number for each face, as the hint `paint` is. Without
 * the document, how many they are is not checked.
 *
 * @throws FILE_UNREADABLE, FORMAT_INVALID, OPTION_INVALID
 */
export function readFaceWeights(options: OptionValues, document?: MeshDocument): number[] | undefined {
  const path = readText(options, 'face-weights');
  if (path === undefined) return undefined;
  const value = readJsonFile(path, OPTION);
  checkSchema(value, { type: 'array', items: { type: 'number' } }, OPTION);
  const weights = value as number[];
  const wrong = weights.findIndex((weight) => !(weight > 0));
  if (wrong >= 0) {
    throw new FormatError(
      'FORMAT_INVALID',
      `${OPTION}: [${wrong}] is not valid, got ${weights[wrong]}, expected a number above 0`,
      { path: `[${wrong}]` },
    );
  }
  const faceCount = document?.mesh.faceVertexCounts.length ?? weights.length;
  if (weights.length === faceCount) return weights;
  throw new InvalidOptionError(
    'OPTION_INVALID',
    `${OPTION}: wrong length, got ${weights.length} numbers, expected ${faceCount}, one for each face of the model`,
    { option: 'face-weights' },
  );
}
