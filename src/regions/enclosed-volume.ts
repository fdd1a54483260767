import type { TriangleSurface } from './triangle-surface.js';

/**
 * Six times the volume between a piece of surface and its rim's centroid: below 0 where the piece is hollow
 * seen from outside, 0 for a piece without a rim.
 */
export function enclosedVolume(surface: TriangleSurface, piece: readonly number[]): number {
  const { positions, triangles, vertexCount } = surface;
  // The rim's centroid closes the piece with a fan, whose triangles then have no volume.
  const counts = new Map<number, number>();
  for (const t of piece)
    for (let k = 0; k < 3; k++) {
      const a = triangles[3 * t + k]!;
      const b = triangles[3 * t + ((k + 1) % 3)]!;
      const key = Math.min(a, b) * vertexCount + Math.max(a, b);
      counts.set(key, (counts.get(key) ?? 0) + 1);
    }
  const centre: [number, number, number] = [0, 0, 0];
  let rim = 0;
  for (const [key, count] of counts) {
    if (count !== 1) continue;
    for (const v of [Math.floor(key / vertexCount), key % vertexCount]) {
      rim++;
      for (let k = 0; k < 3; k++) centre[k]! += positions[3 * v + k]!;
    }
  }
  if (rim === 0) return 0;
  const corner = new Float64Array(9);
  let volume = 0;
  for (const t of piece) {
    for (let i = 0; i < 3; i++)
      for (let k = 0; k < 3; k++)
        corner[3 * i + k] = positions[3 * triangles[3 * t + i]! + k]! - centre[k]! / rim;
    volume +=
      corner[0]! * (corner[4]! * corner[8]! - corner[5]! * corner[7]!) +
      corner[1]! * (corner[5]! * corner[6]! - corner[3]! * corner[8]!) +
      corner[2]! * (corner[3]! * corner[7]! - corner[4]! * corner[6]!);
  }
  return volume;
}
