import type { ChartSurface } from '../mesh/index.js';
import { measureConcavity, triangulatePolygon } from './triangulate-polygon.js';

/** Polygons of at most this many corners are covered by every fan triangle, larger ones by one triangulation. */
const FAN_LIMIT = 12;
/** Polygons of five corners and more that are more concave than this share of their area stay so. */
const CONCAVITY_KEPT = 0.1;
/** Below this height over longest side a triangle's shape is noise and is replaced by a thin regular one. */
const FLAT_RATIO = 1e-6;
/** Height over longest side of the replacement. */
const REPLACED_RATIO = 1e-4;
/** Least weight of a triangle, over the mean weight: keeps faces without area open. */
const LEAST_WEIGHT = 1e-7;
/** Twice the area over the squared longest side above which a triangle is positive beyond doubt. */
const CLEAR_RATIO = 1e-9;
/** Weight factor of fan triangles that turn against their face: such triangles only keep the polygon convex. */
const REFLEX_FACTOR = 0.1;

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

class TriangleList {
  readonly vertices: number[] = [];
  readonly faces: number[] = [];
  readonly shares: number[] = [];
  readonly cores: number[] = [];
  readonly elements: number[] = [0];
  readonly restrictedFaces: number[] = [];

  add(face: number, a: number, b: number, c: number, share: number, isCore: boolean): void {
    this.vertices.push(a, b, c);
    this.faces.push(face);
    this.shares.push(share);
    this.cores.push(isCore ? 1 : 0);
  }

  /** Replaces the triangles from `first` on by those positive in `uvs` and, as core, `core`. */
  restrict(first: number, uvs: Float64Array, core: readonly (readonly number[])[]): void {
    const face = this.faces[first]!;
    if (this.restrictedFaces[this.restrictedFaces.length - 1] !== face) this.restrictedFaces.push(face);
    const vertices = this.vertices.splice(3 * first);
    const faces = this.faces.splice(first);
    const shares = this.shares.splice(first);
    this.cores.length = first;
    this.elements.length = this.elements.findIndex((start) => start >= first) + 1;
    const keyOf = (triangle: readonly number[]) =>
      triangle
        .slice()
        .sort((a, b) => a - b)
        .join();
    const coreKeys = new Map(core.map((triangle) => [keyOf(triangle), triangle]));
    const all = faces.map((_, t) => vertices.slice(3 * t, 3 * t + 3));
    all.forEach((triangle, t) => {
      const isCore = coreKeys.delete(keyOf(triangle));
      if (isCore || turnInPlane(uvs, triangle) > CLEAR_RATIO)
        this.add(faces[t]!, triangle[0]!, triangle[1]!, triangle[2]!, shares[t]!, isCore);
    });
    for (const [a, b, c] of coreKeys.values()) this.add(faces[0]!, a!, b!, c!, shares[0]!, true);
  }

  closeElement(): void {
    if (this.elements[this.elements.length - 1] !== this.faces.length) this.elements.push(this.faces.length);
  }
}

/** Twice the signed area over the square of the longest side. */
function turnInPlane(uvs: Float64Array, triangle: readonly number[]): number {
  const [a, b, c] = triangle.map((v) => 2 * v) as [number, number, number];
  const x1 = uvs[b]! - uvs[a]!;
  const y1 = uvs[b + 1]! - uvs[a + 1]!;
  const x2 = uvs[c]! - uvs[a]!;
  const y2 = uvs[c + 1]! - uvs[a + 1]!;
  const longest = Math.max(x1 * x1 + y1 * y1, x2 * x2 + y2 * y2, (x2 - x1) ** 2 + (y2 - y1) ** 2);
  return longest > 0 ? (x1 * y2 - y1 * x2) / longest : 0;
}

/**
 * Builds the rest triangles of a chart. Linear in its size for polygons of ordinary size.
 *
 * @param feasible - UVs without flips in which some polygons are not convex: these are covered only by
 * triangles positive there. Not every chart can be laid out with convex polygons (a vertex with two
 * polygons round it is one that prevents it).
 */
export function buildRestTriangles(surface: ChartSurface, feasible?: Float64Array): RestTriangles {
  const list = new TriangleList();
  for (let f = 0; f < surface.faces.length; f++) {
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
  addNormal([a, b, c, c, d, a], positions, 0, normals, 0);
  addNormal([a, b, c, c, d, a], positions, 1, normals, 3);
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

function squaredDistance(positions: Float64Array, a: number, b: number): number {
  const x = positions[3 * a]! - positions[3 * b]!;
  const y = positions[3 * a + 1]! - positions[3 * b + 1]!;
  const z = positions[3 * a + 2]! - positions[3 * b + 2]!;
  return x * x + y * y + z * z;
}

function measureRest(list: TriangleList, surface: ChartSurface): RestTriangles {
  const { positions } = surface;
  const triangleCount = list.faces.length;
  const triangleVertices = Int32Array.from(list.vertices);
  const weights = new Float64Array(triangleCount);
  const inverses = new Float64Array(3 * triangleCount);
  const isReplaced = new Uint8Array(triangleCount);
  const isReflex = new Uint8Array(triangleCount);
  const shapes = new Float64Array(3 * triangleCount);
  const normals = computeFaceNormals(list, positions, surface.faces.length);
  let area = 0;
  for (let t = 0; t < triangleCount; t++) {
    if (writeShape(triangleVertices, positions, normals, list.faces[t]!, t, shapes)) isReflex[t] = 1;
    const triangleArea = (shapes[3 * t]! * shapes[3 * t + 2]!) / 2;
    weights[t] = triangleArea * list.shares[t]! * (isReflex[t] ? REFLEX_FACTOR : 1);
    area += weights[t]!;
  }
  const longest = new Float64Array(triangleCount);
  let longestSum = 0;
  for (let t = 0; t < triangleCount; t++) {
    longest[t] = longestSide(triangleVertices, positions, t);
    longestSum += longest[t]!;
  }
  const unit = Math.sqrt(area) || 1;
  const leastSide = (1e-4 * longestSum) / triangleCount;
  let weightSum = 0;
  for (let t = 0; t < triangleCount; t++) {
    let base = shapes[3 * t]!;
    let x = shapes[3 * t + 1]!;
    let height = shapes[3 * t + 2]!;
    if (!(base * height > FLAT_RATIO * longest[t]! * longest[t]!) || longest[t]! < leastSide * 1e-3) {
      isReplaced[t] = 1;
      [base, x, height] = replaceShape(triangleVertices, positions, t, leastSide);
    }
    inverses[3 * t] = unit / base;
    inverses[3 * t + 1] = (-unit * x) / (base * height);
    inverses[3 * t + 2] = unit / height;
    weights[t] = Math.max(weights[t]! / area, LEAST_WEIGHT / triangleCount);
    weightSum += weights[t]!;
  }
  for (let t = 0; t < triangleCount; t++) weights[t]! /= weightSum;
  return {
    vertexCount: surface.vertexCount,
    triangleCount,
    triangleVertices,
    triangleFaces: Int32Array.from(list.faces),
    weights,
    shares: Float64Array.from(list.shares),
    inverses,
    isReplaced,
    isReflex,
    isCore: Uint8Array.from(list.cores),
    restrictedFaces: list.restrictedFaces,
    elementOffsets: Int32Array.from(list.elements),
    unit,
  };
}

function computeFaceNormals(list: TriangleList, positions: Float64Array, faceCount: number): Float64Array {
  const normals = new Float64Array(3 * faceCount);
  for (let t = 0; t < list.faces.length; t++) {
    if (!list.cores[t]) continue;
    const n = 3 * list.faces[t]!;
    addNormal(list.vertices, positions, t, normals, n);
  }
  return normals;
}

function addNormal(
  vertices: ArrayLike<number>,
  p: Float64Array,
  t: number,
  out: Float64Array,
  o: number,
): void {
  const a = 3 * vertices[3 * t]!;
  const b = 3 * vertices[3 * t + 1]!;
  const c = 3 * vertices[3 * t + 2]!;
  const ux = p[b]! - p[a]!;
  const uy = p[b + 1]! - p[a + 1]!;
  const uz = p[b + 2]! - p[a + 2]!;
  const vx = p[c]! - p[a]!;
  const vy = p[c + 1]! - p[a + 1]!;
  const vz = p[c + 2]! - p[a + 2]!;
  out[o]! += uy * vz - uz * vy;
  out[o + 1]! += uz * vx - ux * vz;
  out[o + 2]! += ux * vy - uy * vx;
}

const scratchNormal = new Float64Array(3);

/** Writes base, foot of the height and height; returns whether the triangle turns against its face. */
function writeShape(
  vertices: Int32Array,
  p: Float64Array,
  faceNormals: Float64Array,
  face: number,
  t: number,
  shapes: Float64Array,
): boolean {
  scratchNormal.fill(0);
  addNormal(vertices, p, t, scratchNormal, 0);
  const [nx, ny, nz] = scratchNormal as unknown as [number, number, number];
  const a = 3 * vertices[3 * t]!;
  const b = 3 * vertices[3 * t + 1]!;
  const c = 3 * vertices[3 * t + 2]!;
  const ux = p[b]! - p[a]!;
  const uy = p[b + 1]! - p[a + 1]!;
  const uz = p[b + 2]! - p[a + 2]!;
  const base = Math.sqrt(ux * ux + uy * uy + uz * uz);
  shapes[3 * t] = base;
  if (base > 0) {
    shapes[3 * t + 1] =
      ((p[c]! - p[a]!) * ux + (p[c + 1]! - p[a + 1]!) * uy + (p[c + 2]! - p[a + 2]!) * uz) / base;
    shapes[3 * t + 2] = Math.sqrt(nx * nx + ny * ny + nz * nz) / base;
  }
  const n = 3 * face;
  return nx * faceNormals[n]! + ny * faceNormals[n + 1]! + nz * faceNormals[n + 2]! < 0;
}

function longestSide(vertices: Int32Array, positions: Float64Array, t: number): number {
  let longest = 0;
  for (let k = 0; k < 3; k++) {
    longest = Math.max(
      longest,
      squaredDistance(positions, vertices[3 * t + k]!, vertices[3 * t + ((k + 1) % 3)]!),
    );
  }
  return Math.sqrt(longest);
}

/** A thin triangle with the longest side and the foot of its height kept, or a tiny equilateral one. */
function replaceShape(
  vertices: Int32Array,
  positions: Float64Array,
  t: number,
  leastSide: number,
): [number, number, number] {
  const side = (k: number) =>
    Math.sqrt(squaredDistance(positions, vertices[3 * t + (k % 3)]!, vertices[3 * t + ((k + 1) % 3)]!));
  const sides = [side(0), side(1), side(2)];
  const longest = Math.max(...sides);
  if (longest < leastSide) return [leastSide, leastSide / 2, (leastSide * Math.sqrt(3)) / 2];
  // Lay it out along its longest side, lift the third corner, then turn the first side onto the x axis.
  const k = sides.indexOf(longest);
  const height = REPLACED_RATIO * longest;
  const foot = Math.min(
    longest,
    Math.max(0, (longest ** 2 + sides[(k + 2) % 3]! ** 2 - sides[(k + 1) % 3]! ** 2) / (2 * longest)),
  );
  const corners: [number, number][] = [];
  corners[k] = [0, 0];
  corners[(k + 1) % 3] = [longest, 0];
  corners[(k + 2) % 3] = [foot, height];
  const [a, b, c] = corners as [[number, number], [number, number], [number, number]];
  const base = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const x = ((c[0] - a[0]) * (b[0] - a[0]) + (c[1] - a[1]) * (b[1] - a[1])) / base;
  return [base, x, (longest * height) / base];
}

/** The plain triangulation alone, one triangle per place of the surface. */
export function coreTriangles(rest: RestTriangles): RestTriangles {
  const kept: number[] = [];
  for (let t = 0; t < rest.triangleCount; t++) if (rest.isCore[t]) kept.push(t);
  const pick = (values: Float64Array, width: number) =>
    Float64Array.from(
      { length: width * kept.length },
      (_, i) => values[width * kept[Math.floor(i / width)]! + (i % width)]!,
    );
  const shares = new Float64Array(kept.length).fill(1);
  const inverses = pick(rest.inverses, 3);
  let sum = 0;
  const weights = Float64Array.from(kept, (_, i) => 1 / (inverses[3 * i]! * inverses[3 * i + 2]!));
  for (const w of weights) sum += w;
  return {
    ...rest,
    triangleCount: kept.length,
    triangleVertices: Int32Array.from(
      kept.flatMap((t) => Array.from(rest.triangleVertices.subarray(3 * t, 3 * t + 3))),
    ),
    triangleFaces: Int32Array.from(kept, (t) => rest.triangleFaces[t]!),
    weights: weights.map((w) => w / sum),
    shares,
    inverses,
    isReplaced: Uint8Array.from(kept, (t) => rest.isReplaced[t]!),
    isReflex: Uint8Array.from(kept, (t) => rest.isReflex[t]!),
    isCore: new Uint8Array(kept.length).fill(1),
    elementOffsets: Int32Array.from({ length: kept.length + 1 }, (_, i) => i),
  };
}
