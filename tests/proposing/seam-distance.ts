import type { Vec3 } from '../../src/math/index.js';
import { subtract, vec3At } from '../../src/math/index.js';
import type { Mesh, SeamEdges } from '../../src/mesh/index.js';
import { edgeVertices } from '../../src/mesh/index.js';

/** A stretch of seam in space. */
export type Segment = readonly [Vec3, Vec3];

/** The edges of seams, with the points where they lie now or elsewhere. */
export const seamSegments = (seams: readonly SeamEdges[], points: Float64Array): Segment[] =>
  seams.flatMap(({ edges }) => edges.map(([a, b]): Segment => [vec3At(points, a), vec3At(points, b)]));

/** The edges that a mask marks. */
export function maskSegments(mesh: Mesh, isSeam: Uint8Array): Segment[] {
  const segments: Segment[] = [];
  for (let e = 0; e < mesh.edgeCount; e++) {
    if (!isSeam[e]) continue;
    const [a, b] = edgeVertices(mesh, e);
    segments.push([vec3At(mesh.points, mesh.vertexPoints[a]!), vec3At(mesh.points, mesh.vertexPoints[b]!)]);
  }
  return segments;
}

/** Mean of the mean distances from either set of segments to the nearest of the other, by length. */
export const seamDistance = (a: readonly Segment[], b: readonly Segment[]): number =>
  (meanDistance(a, b) + meanDistance(b, a)) / 2;

const SAMPLES = [1 / 6, 1 / 2, 5 / 6];

function meanDistance(from: readonly Segment[], to: readonly Segment[]): number {
  let sum = 0;
  let total = 0;
  for (const [p, q] of from) {
    const length = Math.hypot(...subtract(p, q));
    for (const t of SAMPLES) {
      const at = p.map((x, k) => x + t * (q[k]! - x)) as unknown as Vec3;
      let least = Infinity;
      for (const segment of to) least = Math.min(least, squaredDistance(at, segment));
      sum += (length / SAMPLES.length) * Math.sqrt(least);
      total += length / SAMPLES.length;
    }
  }
  return total > 0 ? sum / total : Infinity;
}

function squaredDistance(p: Vec3, [a, b]: Segment): number {
  const dx = b[0] - a[0];
  const dy = b[1] - a[1];
  const dz = b[2] - a[2];
  const length2 = dx * dx + dy * dy + dz * dz;
  const along = (p[0] - a[0]) * dx + (p[1] - a[1]) * dy + (p[2] - a[2]) * dz;
  const t = length2 > 0 ? Math.max(0, Math.min(1, along / length2)) : 0;
  return (p[0] - a[0] - t * dx) ** 2 + (p[1] - a[1] - t * dy) ** 2 + (p[2] - a[2] - t * dz) ** 2;
}
