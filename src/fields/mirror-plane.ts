import type { Symmetric3, Vec3 } from '../math/index.js';
import {
  add,
  cross,
  dot,
  length,
  normalize,
  scale,
  subtract,
  symmetricEigenvectors,
  vec3At,
} from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import { computeFaceGeometry } from '../mesh/index.js';
import type { AxisFrame } from './axis-frame.js';
import { PointGrid } from './point-grid.js';

export interface MirrorPlane {
  readonly point: Vec3;
  /** Unit vector. */
  readonly normal: Vec3;
}

/** Vertices and a grid over them, for trying planes. */
export interface MirrorPoints {
  readonly positions: Float64Array;
  readonly grid: PointGrid;
  readonly diagonal: number;
  /** Vertices that stand for all when a plane is only tried. */
  readonly sample: Int32Array;
  readonly centroid: Vec3;
}

const SAMPLE_SIZE = 800;

export function mirrorImage(plane: MirrorPlane, p: Vec3): Vec3 {
  return subtract(p, scale(plane.normal, 2 * dot(subtract(p, plane.point), plane.normal)));
}

/** Prepares the vertices. The sample is spread over the distances from the centroid, so it ignores vertex order. */
export function prepareMirrorPoints(mesh: Mesh, positions: Float64Array): MirrorPoints {
  const centroid = areaCentroid(mesh);
  const order = orderByRadius(positions, centroid);
  const count = Math.min(SAMPLE_SIZE, order.length);
  const sample = Int32Array.from(
    { length: count },
    (_, i) => order[Math.floor(((i + 0.5) * order.length) / count)]!,
  );
  return { positions, grid: new PointGrid(positions), diagonal: mesh.diagonal, sample, centroid };
}

/** Vertices from the farthest to the nearest to the centroid; equal distances by position. */
function orderByRadius(positions: Float64Array, centroid: Vec3): Int32Array {
  const count = positions.length / 3;
  const radii = new Float64Array(count);
  for (let v = 0; v < count; v++) radii[v] = length(subtract(vec3At(positions, v), centroid));
  const order = Int32Array.from({ length: count }, (_, v) => v);
  return order.sort(
    (a, b) =>
      radii[b]! - radii[a]! ||
      positions[3 * a]! - positions[3 * b]! ||
      positions[3 * a + 1]! - positions[3 * b + 1]! ||
      positions[3 * a + 2]! - positions[3 * b + 2]!,
  );
}

function areaCentroid(mesh: Mesh): Vec3 {
  const { faceAreas, faceCentroids } = computeFaceGeometry(mesh);
  let sum: Vec3 = [0, 0, 0];
  let total = 0;
  for (let f = 0; f < mesh.faceCount; f++) {
    sum = add(sum, scale(vec3At(faceCentroids, f), faceAreas[f]!));
    total += faceAreas[f]!;
  }
  return scale(sum, 1 / total);
}

/**
 * Planes worth trying: across each axis of the character and each principal axis, through the middle of the
 * extent and through the centroid; and those that swap two of the outermost vertices equally far from the
 * centroid, which finds tilted planes where the principal axes are undecided (a cube, a star).
 */
export function mirrorCandidates(points: MirrorPoints, frame: AxisFrame): MirrorPlane[] {
  const { positions, centroid, diagonal } = points;
  const normals: Vec3[] = [frame.side, frame.front, frame.up, ...principalAxes(positions, centroid)];
  const planes: MirrorPlane[] = [];
  for (const normal of normals) {
    planes.push(middlePlane(positions, normal), { point: centroid, normal });
  }
  const order = orderByRadius(positions, centroid);
  const radius = (i: number) => length(subtract(vec3At(positions, order[i]!), centroid));
  let pairs = 0;
  for (let i = 0; i < order.length && pairs < 48; ) {
    let j = i + 1;
    while (j < order.length && radius(i) - radius(j) < 1e-6 * diagonal) j++;
    if (j - i <= 12) {
      for (let a = i; a < j; a++)
        for (let b = a + 1; b < j; b++) {
          const across = subtract(vec3At(positions, order[a]!), vec3At(positions, order[b]!));
          if (length(across) < 1e-3 * diagonal) continue;
          planes.push({ point: centroid, normal: normalize(across) });
          pairs++;
        }
    }
    i = j;
  }
  return planes;
}

/** Plane across `normal` through the middle of the extent along it. */
export function middlePlane(positions: Float64Array, normal: Vec3): MirrorPlane {
  let low = Infinity;
  let high = -Infinity;
  for (let i = 0; i < positions.length; i += 3) {
    const along = positions[i]! * normal[0] + positions[i + 1]! * normal[1] + positions[i + 2]! * normal[2];
    low = Math.min(low, along);
    high = Math.max(high, along);
  }
  return { point: scale(normal, (low + high) / 2), normal };
}

function principalAxes(positions: Float64Array, centroid: Vec3): Vec3[] {
  const covariance: Symmetric3 = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < positions.length; i += 3) {
    const d: Vec3 = [
      positions[i]! - centroid[0],
      positions[i + 1]! - centroid[1],
      positions[i + 2]! - centroid[2],
    ];
    addOuter(covariance, d, d);
  }
  return symmetricEigenvectors(covariance);
}

/** Adds the symmetric part of a bᵀ. */
function addOuter(matrix: Symmetric3, a: Vec3, b: Vec3): void {
  matrix[0] += a[0] * b[0];
  matrix[1] += (a[0] * b[1] + a[1] * b[0]) / 2;
  matrix[2] += (a[0] * b[2] + a[2] * b[0]) / 2;
  matrix[3] += a[1] * b[1];
  matrix[4] += (a[1] * b[2] + a[2] * b[1]) / 2;
  matrix[5] += a[2] * b[2];
}

/** How well the sample meets its mirror image: mean of 1 − (distance / radius)², 0 beyond the radius. */
export function scorePlane(points: MirrorPoints, plane: MirrorPlane, radius: number): number {
  let score = 0;
  for (const v of points.sample) {
    const image = mirrorImage(plane, vec3At(points.positions, v));
    const partner = points.grid.nearest(image[0], image[1], image[2], radius);
    if (partner < 0) continue;
    const distance = length(subtract(vec3At(points.positions, partner), image));
    score += 1 - (distance / radius) ** 2;
  }
  return score / points.sample.length;
}

/** Improves a plane by matching images to the nearest vertices and fitting anew, within ever smaller radii. */
export function refinePlane(
  points: MirrorPoints,
  start: MirrorPlane,
  radius: number,
  steps: number,
): MirrorPlane {
  let plane = start;
  let reach = radius;
  for (let step = 0; step < steps; step++) {
    const from: number[] = [];
    const to: number[] = [];
    for (const v of points.sample) {
      const image = mirrorImage(plane, vec3At(points.positions, v));
      const partner = points.grid.nearest(image[0], image[1], image[2], reach);
      if (partner < 0) continue;
      from.push(v);
      to.push(partner);
    }
    const fitted = fitPlane(points.positions, from, to);
    if (!fitted) break;
    plane = dot(fitted.normal, plane.normal) < 0 ? { ...fitted, normal: scale(fitted.normal, -1) } : fitted;
    reach = Math.max(radius / 20, reach * 0.7);
  }
  return plane;
}

/**
 * The plane that best carries each `from` vertex to its `to` vertex, in the least-squares sense.
 *
 * With the pairs' common middle c as origin, Σ|q − (I − 2nnᵀ)p|² = const + 4 nᵀ sym(Σ p qᵀ) n, so the normal
 * is the eigenvector of least eigenvalue.
 */
export function fitPlane(
  positions: Float64Array,
  from: ArrayLike<number>,
  to: ArrayLike<number>,
): MirrorPlane | undefined {
  if (from.length < 3) return undefined;
  let middle: Vec3 = [0, 0, 0];
  for (let i = 0; i < from.length; i++)
    middle = add(middle, add(vec3At(positions, from[i]!), vec3At(positions, to[i]!)));
  middle = scale(middle, 0.5 / from.length);
  const matrix: Symmetric3 = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < from.length; i++) {
    addOuter(
      matrix,
      subtract(vec3At(positions, from[i]!), middle),
      subtract(vec3At(positions, to[i]!), middle),
    );
  }
  return { point: middle, normal: symmetricEigenvectors(matrix)[0] };
}

/** Whether two planes are the same within a share of the diagonal. */
export function isSamePlane(a: MirrorPlane, b: MirrorPlane, centroid: Vec3, distance: number): boolean {
  const offsetA = dot(subtract(centroid, a.point), a.normal);
  const offsetB = dot(subtract(centroid, b.point), b.normal);
  const facing = dot(a.normal, b.normal) < 0 ? -1 : 1;
  return length(cross(a.normal, b.normal)) < 1e-3 && Math.abs(offsetA - facing * offsetB) < distance;
}
