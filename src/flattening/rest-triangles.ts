import { addTriangleNormal } from '../math/index.js';
import type { ChartSurface } from '../mesh/index.js';
import { measureRest, squaredDistance } from './measure-rest.js';
import { CLEAR_RATIO, TriangleList, turnInPlane } from './triangle-list.js';
import { measureConcavity, triangulatePolygon } from './triangulate-polygon.js';

/** Polygons of at most this many corners are covered by every fan triangle, larger ones by one triangulation. */
const FAN_LIMIT = 12;
/** Polygons of five corners and more that are more concave than this share of their area stay so. */
const CONCAVITY_KEPT = 0.1;

/**
 * The chart as triangles at rest, in units of the square root of the chart's area.
 *
 * A polygon is covered by all the triangles of all its fans, each weighted by the share of fans that hold
 * it, so nothing depends on which corner comes first; keeping all of them positive keeps every fan
 * triangulation of the flattened polygon free of flips.
 */
export interface RestTriangles {
  readonly vertexCount: number;
  readonly triangleCount: number;
  /** Three vertices per triangle, counter-clockwise. */
  readonly triangleVertices: Int32Array;
  /** Local face of each triangle. */
  readonly triangleFaces: Int32Array;
  /** Share of the chart's area; the sum is 1. */
  readonly weights: Float64Array;
  /** Share of the polygon's fans that hold the triangle. */
  readonly shares: Float64Array;
  /**
   * Inverse of the rest shape, three numbers i11, i12, i22 per triangle: with d1, d2 the UV sides from
   * the first corner, the Jacobian's columns are d1·i11 and d1·i12 + d2·i22.
   */
  readonly inverses: Float64Array;
  /** 1 where the shape was degenerate and stands in for it. */
  readonly isReplaced: Uint8Array;
  /** 1 where the triangle turns against its polygon in space. */
  readonly isReflex: Uint8Array;
  /** 1 for the triangles of one plain triangulation of each polygon. */
  readonly isCore: Uint8Array;
  /** Faces that are not covered by all their fans, ascending. */
  readonly restrictedFaces: readonly number[];
  /** Groups of triangles assembled together: first triangle of each, and the count at the end. */
  readonly elementOffsets: Int32Array;
  /** Model units per rest unit: square root of the chart's area. */
  readonly unit: number;
}

/** What of a chart, or of a whole mesh, is measured. */
export type RestSource = Pick<ChartSurface, 'faceOffsets' | 'cornerVertices' | 'vertexCount' | 'positions'>;

/**
 * Builds the rest triangles of a chart. Linear in its size for polygons of ordinary size.
 *
 * @param feasible - UVs without flips in which some polygons are not convex: these are covered only by
 * triangles positive there. Not every chart can be laid out with convex polygons (a vertex with two
 * polygons round it is one that prevents it).
 */
export function buildRestTriangles(surface: RestSource, feasible?: Float64Array): RestTriangles {
  const list = new TriangleList();
  for (let f = 0; f + 1 < surface.faceOffsets.length; f++) {
    const first = list.faces.length;
    const corners = surface.cornerVertices.subarray(surface.faceOffsets[f]!, surface.faceOffsets[f + 1]!);
    if (corners.length === 3) list.add(f, corners[0]!, corners[1]!, corners[2]!, 1, true);
    else if (corners.length === 4) addQuad(list, f, corners, surface.positions);
    else if (measureConcavity(corners, surface.positions) > CONCAVITY_KEPT)
      addConcave(list, f, corners, surface.positions);
    else if (corners.length <= FAN_LIMIT) addFans(list, f, corners, surface.positions);
    else addLargePolygon(list, f, corners, surface.positions);
    if (feasible && corners.length > 3 && !isConvexIn(feasible, list, first))
      list.restrict(first, feasible, triangulateInPlane(corners, feasible));
    list.closeElement();
  }
  return measureRest(list, surface);
}

function isConvexIn(uvs: Float64Array, list: TriangleList, first: number): boolean {
  for (let t = first; t < list.faces.length; t++)
    if (!(turnInPlane(uvs, list.vertices.slice(3 * t, 3 * t + 3)) > CLEAR_RATIO)) return false;
  return true;
}

function triangulateInPlane(corners: Int32Array, uvs: Float64Array): number[][] {
  const positions = new Float64Array(3 * corners.length);
  corners.forEach((v, i) => {
    positions[3 * i] = uvs[2 * v]!;
    positions[3 * i + 1] = uvs[2 * v + 1]!;
  });
  const local = Int32Array.from(corners, (_, i) => i);
  return triangulatePolygon(local, positions).map((triangle) => triangle.map((i) => corners[i]!));
}

function addQuad(list: TriangleList, face: number, c: Int32Array, positions: Float64Array): void {
  // The plain triangulation has no triangle turned against the quad, and else the shorter diagonal.
  const folds = foldOf(positions, c[0]!, c[1]!, c[2]!, c[3]!) - foldOf(positions, c[1]!, c[2]!, c[3]!, c[0]!);
  const isFirst =
    folds !== 0
      ? folds < 0
      : squaredDistance(positions, c[0]!, c[2]!) <= squaredDistance(positions, c[1]!, c[3]!);
  list.add(face, c[0]!, c[1]!, c[2]!, 0.5, isFirst);
  list.add(face, c[2]!, c[3]!, c[0]!, 0.5, isFirst);
  list.add(face, c[1]!, c[2]!, c[3]!, 0.5, !isFirst);
  list.add(face, c[3]!, c[0]!, c[1]!, 0.5, !isFirst);
}

/** 1 when the two triangles on the diagonal from `a` to `c` face away from one another, else 0. */
function foldOf(positions: Float64Array, a: number, b: number, c: number, d: number): number {
  const normals = new Float64Array(6);
  addTriangleNormal([a, b, c, c, d, a], positions, 0, normals, 0);
  addTriangleNormal([a, b, c, c, d, a], positions, 1, normals, 3);
  return normals[0]! * normals[3]! + normals[1]! * normals[4]! + normals[2]! * normals[5]! < 0 ? 1 : 0;
}

function addFans(list: TriangleList, face: number, c: Int32Array, positions: Float64Array): void {
  const n = c.length;
  const core = new Set(
    triangulatePolygon(c, positions).map((t) =>
      t
        .slice()
        .sort((a, b) => a - b)
        .join(),
    ),
  );
  const add = (i: number, j: number, k: number, share: number) =>
    list.add(face, c[i]!, c[j]!, c[k]!, share, core.has([i, j, k].sort((a, b) => a - b).join()));
  for (let i = 0; i < n; i++) {
    add(i, (i + 1) % n, (i + 2) % n, 2 / n);
    for (let step = 3; step < n - 1; step++) add(i, (i + 1) % n, (i + step) % n, 1 / n);
  }
  // Ear clipping may use a triangle that no fan has (no side on the border).
  const isFan = (i: number, j: number) => (i + 1) % n === j || (j + 1) % n === i;
  for (const key of core) {
    const [i, j, k] = key.split(',').map(Number) as [number, number, number];
    if (!isFan(i, j) && !isFan(j, k) && !isFan(k, i)) add(i, j, k, 0);
  }
}

function addLargePolygon(list: TriangleList, face: number, c: Int32Array, positions: Float64Array): void {
  const n = c.length;
  addPlain(list, face, c, positions);
  // A turn to the left at every corner keeps it convex; these triangles weigh next to nothing.
  for (let i = 0; i < n; i++) {
    list.add(face, c[i]!, c[(i + 1) % n]!, c[(i + 2) % n]!, 0, false);
    list.closeElement();
  }
}

function addConcave(list: TriangleList, face: number, c: Int32Array, positions: Float64Array): void {
  list.restrictedFaces.push(face);
  addPlain(list, face, c, positions);
}

function addPlain(list: TriangleList, face: number, c: Int32Array, positions: Float64Array): void {
  for (const [i, j, k] of triangulatePolygon(c, positions)) {
    list.add(face, c[i]!, c[j]!, c[k]!, 1, true);
    list.closeElement();
  }
}
