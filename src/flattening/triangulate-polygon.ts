import type { Vec3 } from '../math/index.js';
import { add, cross, dot, normalize, subtract, vec3At } from '../math/index.js';

/** Polygons of up to this many corners get the triangulation whose worst triangle is best. */
const OPTIMAL_LIMIT = 12;

/**
 * Triangulates a polygon in space, in the plane of its vector area: the worst triangle as good as can be
 * (Klincsek 1980) for small polygons; for large ones by clipping ears, the best-shaped first and by
 * position on a tie, so that the first corner has no say. Returns corner triples.
 *
 * Always returns n − 2 triangles; on a polygon that crosses itself some of them overlap. O(n³) up to 12
 * corners, then O(n²).
 */
export function triangulatePolygon(corners: Int32Array, positions: Float64Array): [number, number, number][] {
  const plane = projectPolygon(corners, positions);
  return corners.length <= OPTIMAL_LIMIT ? triangulateOptimally(plane) : clipEars(corners, positions, plane);
}

/**
 * Share of a polygon's area by which its most turned fan triangle turns against it: 0 for a convex polygon,
 * in the plane of its vector area.
 */
export function measureConcavity(corners: Int32Array, positions: Float64Array): number {
  const n = corners.length;
  const plane = projectPolygon(corners, positions);
  let area = 0;
  for (let i = 1; i + 1 < n; i++) area += turn(plane, 0, 2 * i, 2 * i + 2);
  let least = 0;
  for (let i = 0; i < n; i++)
    for (let k = 0; k < n; k++) least = Math.min(least, turn(plane, 2 * i, 2 * ((i + 1) % n), 2 * k));
  return area > 0 ? -least / area : 0;
}

function triangulateOptimally(plane: Float64Array): [number, number, number][] {
  const n = plane.length / 2;
  // Of the polygon of corners i..j: the worst quality, the sum of qualities, and the corner on side i–j.
  const worst = new Float64Array(n * n).fill(Infinity);
  const sums = new Float64Array(n * n);
  const tips = new Int32Array(n * n).fill(-1);
  for (let width = 2; width < n; width++) {
    for (let i = 0; i + width < n; i++) {
      const at = i * n + i + width;
      worst[at] = -Infinity;
      for (let k = i + 1; k < i + width; k++) {
        const quality = shapeQuality(plane, 2 * i, 2 * k, 2 * (i + width));
        const least = Math.min(quality, worst[i * n + k]!, worst[k * n + i + width]!);
        const sum = quality + sums[i * n + k]! + sums[k * n + i + width]!;
        const isTie = Math.abs(least - worst[at]!) <= 1e-9;
        if (isTie ? sum <= sums[at]! + 1e-9 : least < worst[at]!) continue;
        worst[at] = least;
        sums[at] = sum;
        tips[at] = k;
      }
    }
  }
  const triangles: [number, number, number][] = [];
  const open: [number, number][] = [[0, n - 1]];
  for (let side = open.pop(); side; side = open.pop()) {
    const [i, j] = side;
    if (j - i < 2) continue;
    const k = tips[i * n + j]!;
    triangles.push([i, k, j]);
    open.push([i, k], [k, j]);
  }
  return triangles;
}

/** 1 for an equilateral triangle, 0 for a flat one, negative for a turned one. */
function shapeQuality(plane: Float64Array, a: number, b: number, c: number): number {
  const sides = squared(plane, a, b) + squared(plane, b, c) + squared(plane, c, a);
  return sides > 0 ? (turn(plane, a, b, c) * 2 * Math.sqrt(3)) / sides : 0;
}

function clipEars(
  corners: Int32Array,
  positions: Float64Array,
  plane: Float64Array,
): [number, number, number][] {
  const n = corners.length;
  const ring = Array.from({ length: n }, (_, i) => i);
  const triangles: [number, number, number][] = [];
  const scores = new Float64Array(n).fill(Number.NaN);
  while (ring.length > 3) {
    let best = -1;
    for (let i = 0; i < ring.length; i++) {
      const at = ring[i]!;
      if (Number.isNaN(scores[at]!)) scores[at] = scoreEar(ring, i, plane);
      if (best < 0 || isBetter(scores, at, ring[best]!, corners, positions)) best = i;
    }
    const before = (best + ring.length - 1) % ring.length;
    const after = (best + 1) % ring.length;
    triangles.push([ring[before]!, ring[best]!, ring[after]!]);
    // Only an ear whose triangle held the clipped corner can have become free; those scored below zero.
    for (const at of ring) if (scores[at]! < 0) scores[at] = Number.NaN;
    scores[ring[before]!] = Number.NaN;
    scores[ring[after]!] = Number.NaN;
    ring.splice(best, 1);
  }
  triangles.push([ring[0]!, ring[1]!, ring[2]!]);
  return triangles;
}

function isBetter(
  scores: Float64Array,
  a: number,
  b: number,
  corners: Int32Array,
  positions: Float64Array,
): boolean {
  const difference = scores[a]! - scores[b]!;
  if (Math.abs(difference) > 1e-9) return difference > 0;
  for (let k = 0; k < 3; k++) {
    const d = positions[3 * corners[a]! + k]! - positions[3 * corners[b]! + k]!;
    if (d !== 0) return d < 0;
  }
  return false;
}

/** Sine-like shape quality in 0..1 for an ear, below 0 where the corner is reflex or another lies inside. */
function scoreEar(ring: readonly number[], i: number, plane: Float64Array): number {
  const n = ring.length;
  const a = 2 * ring[(i + n - 1) % n]!;
  const b = 2 * ring[i]!;
  const c = 2 * ring[(i + 1) % n]!;
  const quality = shapeQuality(plane, a, b, c);
  if (quality <= 0) return quality - 1;
  for (const at of ring) {
    const p = 2 * at;
    if (p === a || p === b || p === c) continue;
    if (turn(plane, a, b, p) >= 0 && turn(plane, b, c, p) >= 0 && turn(plane, c, a, p) >= 0)
      return quality - 3;
  }
  return quality;
}

const turn = (q: Float64Array, a: number, b: number, c: number) =>
  (q[b]! - q[a]!) * (q[c + 1]! - q[a + 1]!) - (q[b + 1]! - q[a + 1]!) * (q[c]! - q[a]!);
const squared = (q: Float64Array, a: number, b: number) =>
  (q[b]! - q[a]!) ** 2 + (q[b + 1]! - q[a + 1]!) ** 2;

/** Coordinates in the plane of the vector area, counter-clockwise as seen from its tip. */
function projectPolygon(corners: Int32Array, positions: Float64Array): Float64Array {
  const n = corners.length;
  const origin = vec3At(positions, corners[0]!);
  let normal: Vec3 = [0, 0, 0];
  for (let i = 1; i + 1 < n; i++) {
    const u = subtract(vec3At(positions, corners[i]!), origin);
    normal = add(normal, cross(u, subtract(vec3At(positions, corners[i + 1]!), origin)));
  }
  normal = normalize(normal);
  const sizes = normal.map(Math.abs);
  const least = sizes.indexOf(Math.min(...sizes));
  const x = normalize(cross(normal, [least === 0 ? 1 : 0, least === 1 ? 1 : 0, least === 2 ? 1 : 0]));
  const y = cross(normal, x);
  const plane = new Float64Array(2 * n);
  for (let i = 0; i < n; i++) {
    const p = subtract(vec3At(positions, corners[i]!), origin);
    plane[2 * i] = dot(p, x);
    plane[2 * i + 1] = dot(p, y);
  }
  return plane;
}
