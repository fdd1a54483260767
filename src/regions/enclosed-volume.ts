import { DisjointSet } from '../structures/index.js';
import type { TriangleSurface } from './triangle-surface.js';

/**
 * Six times the volume of a piece of surface with each of its rims closed by a fan to the rim's centroid: below 0
 * where the piece is hollow seen from outside, 0 for a piece without a rim.
 */
export function enclosedVolume(surface: TriangleSurface, piece: Iterable<number>): number {
  const { positions, triangles, vertexCount } = surface;
  const sides = new Set<number>();
  for (const t of piece)
    for (let k = 0; k < 3; k++)
      sides.add(triangles[3 * t + k]! * vertexCount + triangles[3 * t + ((k + 1) % 3)]!);
  const rim: (readonly [number, number])[] = [];
  for (const side of sides) {
    const from = Math.floor(side / vertexCount);
    const to = side % vertexCount;
    if (!sides.has(to * vertexCount + from)) rim.push([from, to]);
  }
  if (rim.length === 0) return 0;
  const centres = findCentres(surface, rim);
  // Measured from a point nearby, so that little is lost in rounding.
  const [ox, oy, oz] = centres.get(rim[0]![0])!;
  const volumeOf = (
    p: ArrayLike<number>,
    i: number,
    q: ArrayLike<number>,
    j: number,
    c: ArrayLike<number>,
    k: number,
  ) => {
    const [ax, ay, az] = [p[i]! - ox, p[i + 1]! - oy, p[i + 2]! - oz];
    const [bx, by, bz] = [q[j]! - ox, q[j + 1]! - oy, q[j + 2]! - oz];
    const [cx, cy, cz] = [c[k]! - ox, c[k + 1]! - oy, c[k + 2]! - oz];
    return ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
  };
  let volume = 0;
  for (const t of piece)
    volume += volumeOf(
      positions,
      3 * triangles[3 * t]!,
      positions,
      3 * triangles[3 * t + 1]!,
      positions,
      3 * triangles[3 * t + 2]!,
    );
  for (const [from, to] of rim)
    volume += volumeOf(positions, 3 * to, positions, 3 * from, centres.get(from)!, 0);
  return volume;
}

/** For each vertex of some rims the centroid of its rim, the mean of its sides' ends. */
function findCentres(
  { positions, vertexCount }: TriangleSurface,
  rim: readonly (readonly [number, number])[],
): Map<number, readonly [number, number, number]> {
  const loops = new DisjointSet(vertexCount);
  for (const [from, to] of rim) loops.union(from, to);
  const sums = new Map<number, [number, number, number, number]>();
  for (const [from] of rim) {
    const loop = loops.find(from);
    const sum = sums.get(loop) ?? [0, 0, 0, 0];
    sums.set(loop, sum);
    for (let k = 0; k < 3; k++) sum[k]! += positions[3 * from + k]!;
    sum[3]++;
  }
  return new Map(
    rim.map(([from]) => {
      const [x, y, z, count] = sums.get(loops.find(from))!;
      return [from, [x / count, y / count, z / count] as const];
    }),
  );
}
