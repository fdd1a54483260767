import type { SymmetricMatrix } from '../linalg/index.js';
import { analyse, LdlSolver } from '../linalg/index.js';
import type { ChartSurface } from '../mesh/index.js';
import type { BlockPattern } from './block-pattern.js';
import { blockMatrix, blockStarts } from './block-pattern.js';
import { assembleLaplacian, measureCorners, reducedRightHandSide, reduceMatrix } from './cotangents.js';
import type { RestTriangles } from './rest-triangles.js';

/**
 * Matrix of the conformal energy, Dirichlet energy minus area (Pinkall & Polthier 1993; Desbrun et al. 2002),
 * whose quadratic form is half the sum of squares of least-squares conformal maps (Lévy et al. 2002). The area
 * is that inside the borders, so only border sides join u and v.
 */
export function assembleConformal(
  rest: RestTriangles,
  pattern: BlockPattern,
  loops: readonly Int32Array[],
): SymmetricMatrix {
  const laplacian = assembleLaplacian(rest, pattern, measureCorners(rest));
  const matrix = blockMatrix(pattern);
  const { left, right } = blockStarts(pattern);
  const { columnOffsets, entryRows } = pattern;
  for (let b = 0; b < pattern.vertexCount; b++) {
    for (let p = columnOffsets[b]!; p < columnOffsets[b + 1]!; p++) {
      matrix.values[left[p]!] = laplacian.values[p]!;
      matrix.values[right[p]! + (entryRows[p] === b ? 0 : 1)] = laplacian.values[p]!;
    }
  }
  // The area is ½ Σ (u_i v_j − u_j v_i) over border sides from i to j.
  const addCross = (u: number, v: number, value: number) => {
    const high = Math.max(u, v);
    const low = Math.min(u, v);
    let p = columnOffsets[low]!;
    while (entryRows[p] !== high) p++;
    // The block's rows are those of the higher vertex: u of the lower one is in the left column.
    if (u === low) matrix.values[left[p]! + 1]! += value;
    else matrix.values[right[p]!]! += value;
  };
  for (const loop of loops) {
    for (let i = 0; i < loop.length; i++) {
      const from = loop[i]!;
      const to = loop[(i + 1) % loop.length]!;
      addCross(from, to, -0.5);
      addCross(to, from, 0.5);
    }
  }
  return matrix;
}

/**
 * Least-squares conformal map (Lévy et al. 2002) with two border vertices pinned, those farthest apart in
 * space, at that distance. Returns uv per vertex in rest units; may flip or overlap.
 */
export function flattenLscm(rest: RestTriangles, pattern: BlockPattern, surface: ChartSurface): Float64Array {
  const matrix = assembleConformal(rest, pattern, surface.borderLoops);
  const [a, b] = farthestPair(surface);
  const given = new Float64Array(matrix.size);
  given[2 * b] = distance(surface, a, b) / rest.unit;
  const isGiven = new Uint8Array(matrix.size);
  for (const v of [a, b]) isGiven[2 * v] = isGiven[2 * v + 1] = 1;
  const reduced = reduceMatrix(matrix, isGiven);
  const groups = reduced.fullIndex.map((i) => i >> 1);
  const solver = new LdlSolver(analyse(reduced.matrix, { groups: compact(groups) })).factor(
    reduced.matrix.values,
  );
  const uvs = given.slice();
  solver.solve(reducedRightHandSide(matrix, reduced, given)).forEach((x, i) => {
    uvs[reduced.fullIndex[i]!] = x;
  });
  return uvs;
}

function compact(groups: Int32Array): Int32Array {
  const names = new Map<number, number>();
  return groups.map((g) => {
    const name = names.get(g) ?? names.size;
    names.set(g, name);
    return name;
  });
}

function distance(surface: ChartSurface, a: number, b: number): number {
  const p = surface.positions;
  return Math.hypot(p[3 * a]! - p[3 * b]!, p[3 * a + 1]! - p[3 * b + 1]!, p[3 * a + 2]! - p[3 * b + 2]!);
}

/** Borders of up to this many vertices are searched for the farthest pair in full. */
const FULL_SEARCH = 2000;

/** The two border vertices farthest apart in space; on very long borders, far ones. */
function farthestPair(surface: ChartSurface): [number, number] {
  const border = surface.borderLoops[0]!;
  const farthestFrom = (a: number) =>
    border.reduce((best, v) => (distance(surface, a, v) > distance(surface, a, best) ? v : best), a);
  let [a, b] = [border[0]!, farthestFrom(border[0]!)];
  const starts = border.length <= FULL_SEARCH ? border : [b, farthestFrom(b)];
  for (const from of starts) {
    const to = farthestFrom(from);
    if (distance(surface, from, to) > distance(surface, a, b)) [a, b] = [from, to];
  }
  return [a, b];
}

/** Most steps of the inverse iteration, and the change of the vector that ends it. */
const POWER_STEPS = 200;
const POWER_CHANGE = 1e-10;

/**
 * Spectral conformal map without pins (Mullen et al. 2008): the least generalised eigenvector of the conformal
 * energy against the border's mass, apart from the constant maps. Inverse iteration with one factorisation.
 */
export function flattenSpectral(
  rest: RestTriangles,
  pattern: BlockPattern,
  surface: ChartSurface,
): Float64Array {
  const matrix = assembleConformal(rest, pattern, surface.borderLoops);
  const n = rest.vertexCount;
  const border = surface.borderLoops.flatMap((loop) => Array.from(loop));
  const values = matrix.values.slice();
  // A slight shift towards the border mass makes the matrix definite and moves no eigenvector.
  let trace = 0;
  for (let j = 0; j < matrix.size; j++) trace += values[matrix.columnOffsets[j]!]!;
  const shift = (1e-9 * trace) / matrix.size;
  for (const v of border) for (let k = 0; k < 2; k++) values[matrix.columnOffsets[2 * v + k]!]! += shift;
  const groups = Int32Array.from({ length: 2 * n }, (_, i) => i >> 1);
  const solver = new LdlSolver(analyse(matrix, { groups })).factor(values);
  let uvs = new Float64Array(2 * n);
  border.forEach((v) => {
    for (let k = 0; k < 2; k++)
      uvs[2 * v + k] = surface.positions[3 * v + k]! + 0.3 * surface.positions[3 * v + 2]!;
  });
  for (let step = 0; step < POWER_STEPS; step++) {
    normaliseOnBorder(uvs, border);
    const right = new Float64Array(2 * n);
    for (const v of border) for (let k = 0; k < 2; k++) right[2 * v + k] = uvs[2 * v + k]!;
    const next = Float64Array.from(solver.solve(right));
    normaliseOnBorder(next, border);
    let agreement = 0;
    for (const v of border) for (let k = 0; k < 2; k++) agreement += next[2 * v + k]! * uvs[2 * v + k]!;
    uvs = next;
    if (1 - Math.abs(agreement) < POWER_CHANGE ** 2) break;
  }
  return uvs;
}

/** Removes the mean over the border and scales the border's part to length 1. */
function normaliseOnBorder(uvs: Float64Array, border: readonly number[]): void {
  for (let k = 0; k < 2; k++) {
    let mean = 0;
    for (const v of border) mean += uvs[2 * v + k]! / border.length;
    for (let i = k; i < uvs.length; i += 2) uvs[i]! -= mean;
  }
  let squared = 0;
  for (const v of border) squared += uvs[2 * v]! ** 2 + uvs[2 * v + 1]! ** 2;
  const scale = 1 / Math.sqrt(squared);
  for (let i = 0; i < uvs.length; i++) uvs[i]! *= scale;
}
