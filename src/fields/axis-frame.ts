import { InvalidOptionError } from '../errors.js';
import type { Vec3 } from '../math/index.js';
import { cross, dot, length, normalize, scale, subtract } from '../math/index.js';

/** Right-handed unit axes of a character: its right-hand side as seen from the front is `side`. */
export interface AxisFrame {
  /** Unit vector across the body: up × front. */
  readonly side: Vec3;
  readonly up: Vec3;
  readonly front: Vec3;
}

export interface AxisOptions {
  /**
   * Direction that points up, any length above 0.
   * @defaultValue [0, 1, 0]
   */
  readonly up?: Vec3;
  /**
   * Direction the character looks in, not along `up`; made perpendicular to it.
   * @defaultValue [0, 0, 1]
   */
  readonly front?: Vec3;
}

export const AXIS_DEFAULTS: Readonly<Required<AxisOptions>> = Object.freeze({
  up: [0, 1, 0],
  front: [0, 0, 1],
});

/**
 * Unit axes from an up and a front direction.
 *
 * @throws OPTION_INVALID when one has no length or both run along one line
 */
export function buildAxisFrame(options: AxisOptions = {}): AxisFrame {
  const up = normalize(checkDirection('up', options.up ?? AXIS_DEFAULTS.up));
  const given = checkDirection('front', options.front ?? AXIS_DEFAULTS.front);
  const unit = normalize(given);
  const level = subtract(unit, scale(up, dot(unit, up)));
  if (length(level) < 1e-6) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      'buildAxisFrame: front runs along up, got parallel directions, expected two that differ',
      { up: options.up, front: options.front },
    );
  }
  const front = normalize(level);
  return { side: cross(up, front), up, front };
}

/** Returns the direction, or throws when it is not three finite numbers with length. */
export function checkDirection(name: string, direction: Vec3): Vec3 {
  if (direction?.length !== 3 || !direction.every(Number.isFinite) || length(direction) === 0) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `${name}: not a direction, got [${String(direction)}], expected three finite numbers, not all 0`,
      { [name]: direction },
    );
  }
  return direction;
}
