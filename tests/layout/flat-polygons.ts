import type { FlatSetLike, Layout } from '../../src/layout/index.js';
import type { Mesh } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';

export type Polygon = readonly (readonly [number, number])[];

/** A mesh with one n-gon face per polygon, side by side on a plane, and its charts: the polygons themselves. */
export function flatPolygons(polygons: readonly Polygon[]): { mesh: Mesh; flat: FlatSetLike } {
  const points: number[] = [];
  const faceVertexCounts: number[] = [];
  const faceVertexIndices: number[] = [];
  const charts: { faces: number[]; corners: number[]; uvs: number[]; surfaceArea: number }[] = [];
  let shift = 0;
  polygons.forEach((polygon, f) => {
    const corners: number[] = [];
    for (const [x, y] of polygon) {
      corners.push(faceVertexIndices.length);
      faceVertexIndices.push(points.length / 3);
      points.push(x + shift, y, 0);
    }
    faceVertexCounts.push(polygon.length);
    charts.push({ faces: [f], corners, uvs: polygon.flat(), surfaceArea: Math.abs(area(polygon)) });
    shift += 4 * Math.max(...polygon.map(([x]) => Math.abs(x))) + 1;
  });
  return { mesh: buildMesh({ points, faceVertexCounts, faceVertexIndices }), flat: { charts } };
}

export function area(polygon: Polygon): number {
  let sum = 0;
  polygon.forEach(([x, y], k) => {
    const [u, v] = polygon[(k + 1) % polygon.length]!;
    sum += (x * v - u * y) / 2;
  });
  return sum;
}

/** Rectangle about the origin. */
export function rectangle(width: number, height: number): Polygon {
  return [
    [-width / 2, -height / 2],
    [width / 2, -height / 2],
    [width / 2, height / 2],
    [-width / 2, height / 2],
  ];
}

/** A hook, unlike its mirror image however it is turned. */
export const HOOK: Polygon = [
  [0, 0],
  [3, 0],
  [3, 1],
  [1, 1.2],
  [1, 4],
  [0, 4],
];

/** A star-shaped polygon with the given radii at even angles. */
export function star(radii: readonly number[]): Polygon {
  return radii.map((r, k) => {
    const angle = (2 * Math.PI * k) / radii.length;
    return [r * Math.cos(angle), r * Math.sin(angle)] as const;
  });
}

/** The placed outline of each chart whose corners are listed in order. */
export function placedPolygons(layout: Layout, flat: FlatSetLike): Polygon[] {
  return flat.charts.map(({ corners }) =>
    Array.from(corners, (c) => [layout.uvs[2 * c]!, layout.uvs[2 * c + 1]!] as const),
  );
}

/**
 * Fewest free texels between any two polygons on a raster, in rows, columns and diagonally, by texel centres;
 * Infinity when `most` or more are free everywhere. Throws when two polygons share a texel.
 */
export function freeTexels(polygons: readonly Polygon[], resolution: number, most: number): number {
  const rows: { owner: number; a: number; b: number }[][] = Array.from({ length: resolution }, () => []);
  polygons.forEach((polygon, owner) => {
    for (let y = 0; y < resolution; y++) {
      const v = (y + 0.5) / resolution;
      const crossings: number[] = [];
      polygon.forEach(([ax, ay], k) => {
        const [bx, by] = polygon[(k + 1) % polygon.length]!;
        if (ay <= v !== by <= v) crossings.push(ax + ((v - ay) / (by - ay)) * (bx - ax));
      });
      crossings.sort((p, q) => p - q);
      for (let k = 0; k + 1 < crossings.length; k += 2) {
        const a = Math.ceil(crossings[k]! * resolution - 0.5);
        const b = Math.ceil(crossings[k + 1]! * resolution - 0.5) - 1;
        if (b >= a) rows[y]!.push({ owner, a, b });
      }
    }
  });
  let least = most;
  for (let y = 0; y < resolution; y++) {
    for (const span of rows[y]!) {
      for (let r = 0; r <= least && y + r < resolution; r++) {
        for (const other of rows[y + r]!) {
          if (other.owner === span.owner) continue;
          const apart = Math.max(other.a - span.b, span.a - other.b);
          if (Math.max(apart, r) <= 0)
            throw new Error(`polygons ${span.owner} and ${other.owner} share a texel`);
          least = Math.min(least, Math.max(apart, r) - 1);
        }
      }
    }
  }
  return least < most ? least : Infinity;
}
