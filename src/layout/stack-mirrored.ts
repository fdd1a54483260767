import { appendTo } from '../structures/index.js';
import type { ChartOutline } from './chart-outline.js';

/** A turn after negating u, and a shift: uv = R(angle) · (−u, v) + shift. */
export interface Reflection {
  readonly angle: number;
  readonly shift: readonly [number, number];
}

/** What is told of a mirror image that is none. */
export const noteNoImage = (image: number, original: number, lack: string): string =>
  `chart ${image} is no exact mirror image of chart ${original} and was not ${lack}`;

/** Outlines that differ by more than this share of their size are no mirror images. */
const TOLERANCE = 1e-5;

/**
 * Finds the reflection that lays one outline over another, undefined when none does. Tries the turns that
 * bring the farthest points from the centres of area together.
 */
export function findReflection(image: ChartOutline, original: ChartOutline): Reflection | undefined {
  const n = original.points.length;
  if (image.points.length !== n || n === 0) return undefined;
  const target = centred(original.points, false);
  const source = centred(image.points, true);
  if (Math.abs(target.radius - source.radius) > TOLERANCE * target.radius) return undefined;
  const tolerance = TOLERANCE * target.radius;
  const far = target.far;
  for (let k = 0; k < n; k += 2) {
    const x = source.points[k]!;
    const y = source.points[k + 1]!;
    if (Math.abs(Math.hypot(x, y) - target.radius) > tolerance) continue;
    const angle = Math.atan2(target.points[far + 1]!, target.points[far]!) - Math.atan2(y, x);
    if (!isSame(source.points, target.points, angle, tolerance)) continue;
    const c = Math.cos(angle);
    const s = Math.sin(angle);
    const [sx, sy] = source.centre;
    const [tx, ty] = target.centre;
    return { angle, shift: [tx - c * sx + s * sy, ty - s * sx - c * sy] };
  }
  return undefined;
}

function centred(points: Float64Array, negate: boolean) {
  const result = new Float64Array(points.length);
  const n = points.length / 2;
  let cx = 0;
  let cy = 0;
  for (let k = 0; k < points.length; k += 2) {
    cx += (negate ? -points[k]! : points[k]!) / n;
    cy += points[k + 1]! / n;
  }
  let radius = 0;
  let far = 0;
  for (let k = 0; k < points.length; k += 2) {
    result[k] = (negate ? -points[k]! : points[k]!) - cx;
    result[k + 1] = points[k + 1]! - cy;
    const r = Math.hypot(result[k]!, result[k + 1]!);
    if (r > radius) {
      radius = r;
      far = k;
    }
  }
  return { points: result, centre: [cx, cy] as const, radius, far };
}

/** Whether every turned source point lies on a target point. */
function isSame(source: Float64Array, target: Float64Array, angle: number, tolerance: number): boolean {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const cells = new Map<string, number[]>();
  const size = 4 * tolerance;
  const key = (x: number, y: number) => `${x} ${y}`;
  for (let k = 0; k < target.length; k += 2) {
    const cell = key(Math.floor(target[k]! / size), Math.floor(target[k + 1]! / size));
    appendTo(cells, cell, k);
  }
  for (let k = 0; k < source.length; k += 2) {
    const x = c * source[k]! - s * source[k + 1]!;
    const y = s * source[k]! + c * source[k + 1]!;
    let isFound = false;
    for (let dx = -1; dx <= 1 && !isFound; dx++)
      for (let dy = -1; dy <= 1 && !isFound; dy++)
        isFound = (cells.get(key(Math.floor(x / size) + dx, Math.floor(y / size) + dy)) ?? []).some(
          (t) => Math.hypot(target[t]! - x, target[t + 1]! - y) <= tolerance,
        );
    if (!isFound) return false;
  }
  return true;
}
