import type { Vec3 } from '../math/index.js';
import { add, scale } from '../math/index.js';
import type { AxisFrame } from './axis-frame.js';

const GOLDEN = (Math.sqrt(5) - 1) / 2;

/**
 * Evenly spread unit directions of one half of the sphere; with their opposites they cover it all.
 *
 * A golden-ratio lattice in the equal-area coordinates of the `side` axis, made to repeat after half a turn,
 * so that the set together with its opposites is its own mirror image across the body: a symmetric model
 * gets symmetric values, which a plain Fibonacci sphere does not give. Rings of directions round the side
 * axis, tried instead, were no nearer to 1,000 ray casts per edge (0.020 with 82, against 0.0175 with 100).
 *
 * @param count - wanted number of directions on the whole sphere; rounded up to a multiple of 4
 * @returns count / 2 directions, none opposite to another
 */
export function sphereDirections(count: number, frame: AxisFrame): Vec3[] {
  const rows = Math.max(1, Math.ceil(count / 4));
  const directions: Vec3[] = [];
  for (let i = 0; i < rows; i++) {
    const x = (i + 0.5) / rows;
    const radius = Math.sqrt(1 - x * x);
    const angle = Math.PI * ((i * GOLDEN + 0.25) % 1);
    const across = scale(frame.side, x);
    const level = add(
      scale(frame.up, radius * Math.cos(angle)),
      scale(frame.front, radius * Math.sin(angle)),
    );
    // The second is the opposite of the first's mirror image.
    directions.push(add(level, across), add(scale(level, -1), across));
  }
  return directions;
}
