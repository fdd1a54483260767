import { addTriangleNormal } from '../math/index.js';
import type { RestSource, RestTriangles } from './rest-triangles.js';
import type { TriangleList } from './triangle-list.js';

/** Below this height over longest side a triangle's shape is noise and is replaced by a thin regular one. */
const FLAT_RATIO = 1e-6;
/** Height over longest side of the replacement. */
const REPLACED_RATIO = 1e-4;
/** Least weight of a triangle, over the mean weight: keeps faces without area open. */
const LEAST_WEIGHT = 1e-7;
/** Weight factor of fan triangles that turn against their face: such triangles only keep the polygon convex. */
const REFLEX_FACTOR = 0.1;

/** Measures the shapes and weights of the listed triangles. */
export function measureRest(list: TriangleList, surface: RestSource): RestTriangles {
  const { positions } = surface;
  const triangleCount = list.faces.length;
  const triangleVertices = Int32Array.from(list.vertices);
  const weights = new Float64Array(triangleCount);
  const inverses = new Float64Array(3 * triangleCount);
  const isReplaced = new Uint8Array(triangleCount);
  const isReflex = new Uint8Array(triangleCount);
  const shapes = new Float64Array(3 * triangleCount);
  const normals = computeFaceNormals(list, positions, surface.faceOffsets.length - 1);
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
    addTriangleNormal(list.vertices, positions, t, normals, n);
  }
  return normals;
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
  addTriangleNormal(vertices, p, t, scratchNormal, 0);
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

export function squaredDistance(positions: Float64Array, a: number, b: number): number {
  const x = positions[3 * a]! - positions[3 * b]!;
  const y = positions[3 * a + 1]! - positions[3 * b + 1]!;
  const z = positions[3 * a + 2]! - positions[3 * b + 2]!;
  return x * x + y * y + z * z;
}
