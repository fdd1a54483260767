import type { Piece } from './piece.js';

/** Convex hull of points (xy pairs), counter-clockwise (Andrew's monotone chain). */
export function convexHull(points: Float64Array): Float64Array {
  const n = points.length / 2;
  const order = Array.from({ length: n }, (_, i) => i);
  order.sort((a, b) => points[2 * a]! - points[2 * b]! || points[2 * a + 1]! - points[2 * b + 1]!);
  const chain: number[] = [];
  const turn = (a: number, b: number, c: number) =>
    (points[2 * b]! - points[2 * a]!) * (points[2 * c + 1]! - points[2 * a + 1]!) -
    (points[2 * b + 1]! - points[2 * a + 1]!) * (points[2 * c]! - points[2 * a]!);
  const grow = (i: number, floor: number) => {
    while (chain.length > floor && turn(chain[chain.length - 2]!, chain[chain.length - 1]!, i) <= 0)
      chain.pop();
    chain.push(i);
  };
  for (const i of order) grow(i, 1);
  const lower = chain.length;
  for (let k = n - 2; k >= 0; k--) grow(order[k]!, lower);
  if (chain.length > 1) chain.pop();
  const hull = new Float64Array(2 * chain.length);
  for (const [k, i] of chain.entries()) hull.set([points[2 * i]!, points[2 * i + 1]!], 2 * k);
  return hull;
}

/** Width and height of the hull turned by an angle. */
function extent(hull: Float64Array, angle: number): [number, number] {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  let x0 = Infinity;
  let x1 = -Infinity;
  let y0 = Infinity;
  let y1 = -Infinity;
  for (let k = 0; k < hull.length; k += 2) {
    const x = c * hull[k]! - s * hull[k + 1]!;
    const y = s * hull[k]! + c * hull[k + 1]!;
    if (x < x0) x0 = x;
    if (x > x1) x1 = x;
    if (y < y0) y0 = y;
    if (y > y1) y1 = y;
  }
  return [x1 - x0, y1 - y0];
}

/** Angles that fit a piece into the smallest rectangle and the smallest square, and that square's side. */
export interface BoundingAngles {
  readonly rectangle: number;
  readonly square: number;
  readonly side: number;
}

const SAMPLES = 90;
/** Golden section steps that follow the samples. */
const REFINEMENTS = 24;

/** Finds the turns, in [-π/4, π/4], that bound a piece most tightly. */
export function findBoundingAngles(piece: Piece): BoundingAngles {
  const hull = convexHull(piece.points);
  let rectangle = 0;
  let leastArea = Infinity;
  for (let k = 0; k < hull.length; k += 2) {
    const n = (k + 2) % hull.length;
    const edge = -Math.atan2(hull[n + 1]! - hull[k + 1]!, hull[n]! - hull[k]!);
    const angle = edge - (Math.PI / 2) * Math.round(edge / (Math.PI / 2));
    const [w, h] = extent(hull, angle);
    if (w * h < leastArea * (1 - 1e-9)) {
      leastArea = w * h;
      rectangle = angle;
    }
  }
  const side = (angle: number) => Math.max(...extent(hull, angle));
  let square = 0;
  let least = side(0);
  for (let k = -SAMPLES / 2; k <= SAMPLES / 2; k++) {
    const angle = (k * Math.PI) / 2 / SAMPLES;
    if (side(angle) < least * (1 - 1e-9)) {
      least = side(angle);
      square = angle;
    }
  }
  const golden = (Math.sqrt(5) - 1) / 2;
  let low = square - Math.PI / 2 / SAMPLES;
  let high = square + Math.PI / 2 / SAMPLES;
  for (let k = 0; k < REFINEMENTS; k++) {
    const a = high - golden * (high - low);
    const b = low + golden * (high - low);
    if (side(a) <= side(b)) high = b;
    else low = a;
  }
  const middle = (low + high) / 2;
  if (side(middle) < least) {
    least = side(middle);
    square = middle;
  }
  return { rectangle, square, side: least };
}
