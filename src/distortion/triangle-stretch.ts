import type { RestTriangles } from '../flattening/index.js';

/** σ1/σ2 above this is counted as this, so that one collapsed triangle leaves the means finite. */
export const RATIO_LIMIT = 1e6;

/** Singular values and determinant of every rest triangle's map, in the units of the UVs over model units. */
export interface TriangleStretch {
  readonly sigma1: Float64Array;
  readonly sigma2: Float64Array;
  readonly determinants: Float64Array;
}

/** Measures every triangle; exact to rounding, also for flipped ones (σ are then of the mirrored map). */
export function measureTriangles(rest: RestTriangles, uvs: ArrayLike<number>): TriangleStretch {
  const n = rest.triangleCount;
  const sigma1 = new Float64Array(n);
  const sigma2 = new Float64Array(n);
  const determinants = new Float64Array(n);
  const { inverses, triangleVertices, unit } = rest;
  for (let t = 0; t < n; t++) {
    const p = 2 * triangleVertices[3 * t]!;
    const q = 2 * triangleVertices[3 * t + 1]!;
    const r = 2 * triangleVertices[3 * t + 2]!;
    const i11 = inverses[3 * t]! / unit;
    const i12 = inverses[3 * t + 1]! / unit;
    const i22 = inverses[3 * t + 2]! / unit;
    const du = uvs[q]! - uvs[p]!;
    const dv = uvs[q + 1]! - uvs[p + 1]!;
    const a = du * i11;
    const b = du * i12 + (uvs[r]! - uvs[p]!) * i22;
    const c = dv * i11;
    const d = dv * i12 + (uvs[r + 1]! - uvs[p + 1]!) * i22;
    const det = a * d - b * c;
    const large = (Math.hypot(a + d, c - b) + Math.hypot(a - d, b + c)) / 2;
    sigma1[t] = large;
    sigma2[t] = large > 0 ? Math.abs(det) / large : 0;
    determinants[t] = det;
  }
  return { sigma1, sigma2, determinants };
}
