import { analyse, LdlSolver } from '../linalg/index.js';
import type { BlockPattern } from './block-pattern.js';
import { assembleLaplacian, measureCorners } from './cotangents.js';
import type { RestTriangles } from './rest-triangles.js';

/** Most rounds, and the relative decrease of the energy that ends them. */
const ROUNDS = 300;
const LEAST_GAIN = 1e-8;

/**
 * As-rigid-as-possible map by local and global steps (Liu et al. 2008): each triangle's closest rotation, then
 * the map whose triangles are closest to theirs; one factorisation. May flip or overlap.
 *
 * @param start - uv per vertex, in rest units
 */
export function flattenArap(rest: RestTriangles, pattern: BlockPattern, start: Float64Array): Float64Array {
  const corners = measureCorners(rest);
  const laplacian = assembleLaplacian(rest, pattern, corners);
  const n = rest.vertexCount;
  const values = laplacian.values.slice();
  // The map is fixed up to a translation; a stiff first diagonal takes it away and moves nothing else.
  values[0]! *= 2;
  const solver = new LdlSolver(analyse(laplacian)).factor(values);
  let uvs = start.slice();
  let last = Infinity;
  for (let round = 0; round < ROUNDS; round++) {
    const { u, v, energy } = rotateTriangles(rest, corners.halfCotangents, uvs);
    if (energy >= (1 - LEAST_GAIN) * last) break;
    last = energy;
    const nextU = solver.solve(u, u);
    const nextV = solver.solve(v, v);
    uvs = new Float64Array(2 * n);
    for (let i = 0; i < n; i++) {
      uvs[2 * i] = nextU[i]!;
      uvs[2 * i + 1] = nextV[i]!;
    }
  }
  return uvs;
}

/** Right-hand sides of the global step for the closest rotations, and the energy before it. */
function rotateTriangles(rest: RestTriangles, halfCotangents: Float64Array, uvs: Float64Array) {
  const { inverses, shares, triangleVertices } = rest;
  const u = new Float64Array(rest.vertexCount);
  const v = new Float64Array(rest.vertexCount);
  let energy = 0;
  for (let t = 0; t < rest.triangleCount; t++) {
    const base = 1 / inverses[3 * t]!;
    const height = 1 / inverses[3 * t + 2]!;
    const foot = -inverses[3 * t + 1]! * base * height;
    const x = [0, base, foot];
    const y = [0, 0, height];
    let cosine = 0;
    let sine = 0;
    let squares = 0;
    for (let pass = 0; pass < 2; pass++) {
      const length = Math.hypot(cosine, sine) || 1;
      for (let k = 0; k < 3; k++) {
        const i = (k + 1) % 3;
        const j = (k + 2) % 3;
        const a = triangleVertices[3 * t + i]!;
        const b = triangleVertices[3 * t + j]!;
        const w = shares[t]! * halfCotangents[3 * t + k]!;
        const dx = x[i]! - x[j]!;
        const dy = y[i]! - y[j]!;
        const du = uvs[2 * a]! - uvs[2 * b]!;
        const dv = uvs[2 * a + 1]! - uvs[2 * b + 1]!;
        if (pass === 0) {
          cosine += w * (du * dx + dv * dy);
          sine += w * (dv * dx - du * dy);
          squares += w * (du * du + dv * dv + dx * dx + dy * dy);
          continue;
        }
        const ru = (w * (cosine * dx - sine * dy)) / length;
        const rv = (w * (sine * dx + cosine * dy)) / length;
        u[a]! += ru;
        u[b]! -= ru;
        v[a]! += rv;
        v[b]! -= rv;
      }
    }
    energy += squares - 2 * Math.hypot(cosine, sine);
  }
  return { u, v, energy };
}
