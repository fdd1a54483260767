import type { AxisOptions } from '../fields/index.js';
import { buildAxisFrame } from '../fields/index.js';
import type { Vec3 } from '../math/index.js';
import { parseAxis } from './axis.js';
import type { OptionValues } from './command.js';
import { readText } from './parse-arguments.js';

/**
 * Up and front from the options, else from what the file says, else +y and +z; where up runs along z, the
 * usual front is -y.
 *
 * @throws OPTION_INVALID
 */
export function readAxes(
  options: OptionValues,
  fileUp?: 'x' | 'y' | 'z',
): Required<Pick<AxisOptions, 'up' | 'front'>> {
  const up = parseAxis(readText(options, 'up') ?? fileUp ?? '+y', '--up');
  const front = readText(options, 'front');
  // Both given: a wrong pair is told before the file is read.
  if (front !== undefined && readText(options, 'up') !== undefined) {
    buildAxisFrame({ up, front: parseAxis(front, '--front') });
  }
  const usual: Vec3 = up[2] !== 0 ? [0, -1, 0] : [0, 0, 1];
  return { up, front: front === undefined ? usual : parseAxis(front, '--front') };
}
