import { analyse, LdlSolver, multiply } from '../linalg/index.js';
import type { BlockPattern } from './block-pattern.js';
import {
  angleSums,
  assembleLaplacian,
  measureCorners,
  reducedRightHandSide,
  reduceMatrix,
} from './cotangents.js';
import type { RestTriangles } from './rest-triangles.js';

/**
 * Boundary-first flattening with zero scale along the border (Sawhney & Crane 2017), which has the least
 * area distortion of all conformal maps (Chebyshev): solves for the scale inside, takes the border's
 * curvature from it, lays the border out and extends it harmonically.
 *
 * One factorisation of a Laplacian without the border, and three solves. May flip or overlap.
 */
export function flattenBoundaryFirst(
  rest: RestTriangles,
  pattern: BlockPattern,
  border: Int32Array,
): Float64Array {
  const corners = measureCorners(rest);
  const laplacian = assembleLaplacian(rest, pattern, corners);
  const sums = angleSums(rest, corners);
  const isBorder = new Uint8Array(rest.vertexCount);
  for (const v of border) isBorder[v] = 1;
  const reduced = reduceMatrix(laplacian, isBorder);
  const solver =
    reduced.fullIndex.length > 0
      ? new LdlSolver(analyse(reduced.matrix)).factor(reduced.matrix.values)
      : undefined;

  const scales = new Float64Array(rest.vertexCount);
  if (solver) {
    const defects = Float64Array.from(reduced.fullIndex, (v) => sums[v]! - 2 * Math.PI);
    solver.solve(defects).forEach((u, i) => {
      scales[reduced.fullIndex[i]!] = u;
    });
  }
  const flux = multiply(laplacian, scales);
  const turns = Float64Array.from(border, (v) => Math.PI - sums[v]! + flux[v]!);
  const outline = layOutBorder(rest, border, turns);

  const uvs = new Float64Array(2 * rest.vertexCount);
  for (let axis = 0; axis < 2; axis++) {
    const given = new Float64Array(rest.vertexCount);
    border.forEach((v, i) => {
      given[v] = outline[2 * i + axis]!;
      uvs[2 * v + axis] = given[v]!;
    });
    solver?.solve(reducedRightHandSide(laplacian, reduced, given)).forEach((x, i) => {
      uvs[2 * reduced.fullIndex[i]! + axis] = x;
    });
  }
  return uvs;
}

/** Closes the polygon of the border's lengths and turning angles by the least relative change of lengths. */
function layOutBorder(rest: RestTriangles, border: Int32Array, turns: Float64Array): Float64Array {
  const n = border.length;
  const lengths = borderLengths(rest, border);
  const tangents = new Float64Array(2 * n);
  let angle = 0;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  let gapX = 0;
  let gapY = 0;
  for (let i = 0; i < n; i++) {
    const x = Math.cos(angle);
    const y = Math.sin(angle);
    const l = lengths[i]!;
    tangents[2 * i] = x;
    tangents[2 * i + 1] = y;
    xx += l * x * x;
    xy += l * x * y;
    yy += l * y * y;
    gapX += l * x;
    gapY += l * y;
    angle += turns[(i + 1) % n]!;
  }
  const determinant = xx * yy - xy * xy;
  const mx = (yy * gapX - xy * gapY) / determinant;
  const my = (xx * gapY - xy * gapX) / determinant;
  const outline = new Float64Array(2 * n);
  for (let i = 0; i + 1 < n; i++) {
    const x = tangents[2 * i]!;
    const y = tangents[2 * i + 1]!;
    const l = lengths[i]! * (1 - x * mx - y * my);
    outline[2 * i + 2] = outline[2 * i]! + l * x;
    outline[2 * i + 3] = outline[2 * i + 1]! + l * y;
  }
  return outline;
}

/** Rest length of each border side, from the rest triangle that has it. */
export function borderLengths(rest: RestTriangles, border: Int32Array): Float64Array {
  const n = border.length;
  const sideOf = new Map<number, number>();
  for (let i = 0; i < n; i++) sideOf.set(border[i]! * rest.vertexCount + border[(i + 1) % n]!, i);
  const lengths = new Float64Array(n);
  for (let t = 0; t < rest.triangleCount; t++) {
    for (let k = 0; k < 3; k++) {
      const i = sideOf.get(
        rest.triangleVertices[3 * t + k]! * rest.vertexCount + rest.triangleVertices[3 * t + ((k + 1) % 3)]!,
      );
      if (i !== undefined) lengths[i] = sideLength(rest, t, k);
    }
  }
  return lengths;
}

function sideLength(rest: RestTriangles, t: number, k: number): number {
  const base = 1 / rest.inverses[3 * t]!;
  const height = 1 / rest.inverses[3 * t + 2]!;
  const x = -rest.inverses[3 * t + 1]! * base * height;
  return k === 0 ? base : k === 1 ? Math.hypot(base - x, height) : Math.hypot(x, height);
}
