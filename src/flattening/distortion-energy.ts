import type { RestTriangles } from './rest-triangles.js';

/** Twice the signed area of a triangle in the plane. */
export function twiceArea(vertices: Int32Array, uvs: Float64Array, t: number): number {
  const a = 2 * vertices[3 * t]!;
  const b = 2 * vertices[3 * t + 1]!;
  const c = 2 * vertices[3 * t + 2]!;
  return (
    (uvs[b]! - uvs[a]!) * (uvs[c + 1]! - uvs[a + 1]!) - (uvs[b + 1]! - uvs[a + 1]!) * (uvs[c]! - uvs[a]!)
  );
}

/** Heights below this share of the map's extent are lost in the rounding of the solver. */
const ROUNDING = 1e-13;

/** Whether every triangle is positive, its height above `rounding` times the map's extent. */
export function isClearlyPositive(rest: RestTriangles, uvs: Float64Array, rounding = ROUNDING): boolean {
  const { triangleCount, triangleVertices } = rest;
  let extent = 0;
  for (let i = 0; i < uvs.length; i++) extent = Math.max(extent, Math.abs(uvs[i]! - uvs[i & 1]!));
  for (let t = 0; t < triangleCount; t++) {
    let longest = 0;
    for (let k = 0; k < 3; k++) {
      const a = 2 * triangleVertices[3 * t + k]!;
      const b = 2 * triangleVertices[3 * t + ((k + 1) % 3)]!;
      longest = Math.max(longest, Math.hypot(uvs[b]! - uvs[a]!, uvs[b + 1]! - uvs[a + 1]!));
    }
    if (!(twiceArea(triangleVertices, uvs, t) > rounding * extent * longest)) return false;
  }
  return true;
}

/**
 * Area-weighted mean symmetric Dirichlet energy σ1² + σ1⁻² + σ2² + σ2⁻² (Smith & Schaefer 2015), which is 4
 * for an isometry; Infinity when a triangle is flipped or flat.
 */
export function symmetricDirichlet(rest: RestTriangles, uvs: Float64Array): number {
  const { stretch, shrink } = dirichletSums(rest, uvs);
  return stretch + shrink;
}

/** The same after scaling the UVs by the factor that makes it least: 2 √(Σ σ² · Σ σ⁻²). */
export function bestScale(rest: RestTriangles, uvs: Float64Array): { scale: number; energy: number } {
  const { stretch, shrink } = dirichletSums(rest, uvs);
  return { scale: (shrink / stretch) ** 0.25, energy: 2 * Math.sqrt(stretch * shrink) };
}

function dirichletSums(rest: RestTriangles, uvs: Float64Array): { stretch: number; shrink: number } {
  const { triangleCount, triangleVertices, inverses, weights } = rest;
  let stretch = 0;
  let shrink = 0;
  for (let t = 0; t < triangleCount; t++) {
    const o = 3 * t;
    const p = 2 * triangleVertices[o]!;
    const q = 2 * triangleVertices[o + 1]!;
    const r = 2 * triangleVertices[o + 2]!;
    const i11 = inverses[o]!;
    const i12 = inverses[o + 1]!;
    const i22 = inverses[o + 2]!;
    const du = uvs[q]! - uvs[p]!;
    const dv = uvs[q + 1]! - uvs[p + 1]!;
    const a = du * i11;
    const b = du * i12 + (uvs[r]! - uvs[p]!) * i22;
    const c = dv * i11;
    const d = dv * i12 + (uvs[r + 1]! - uvs[p + 1]!) * i22;
    const det = a * d - b * c;
    if (!(det > 0)) return { stretch: Infinity, shrink: Infinity };
    const norm = weights[t]! * (a * a + b * b + c * c + d * d);
    stretch += norm;
    shrink += norm / (det * det);
  }
  return { stretch, shrink };
}

/**
 * The largest step t along `direction` at which no triangle has lost its area: the least positive root of
 * the areas, quadratics in t (Smith & Schaefer 2015). Infinity when no triangle ever does.
 */
export function stepLimit(rest: RestTriangles, uvs: Float64Array, direction: Float64Array): number {
  const { triangleCount, triangleVertices } = rest;
  let limit = Infinity;
  for (let t = 0; t < triangleCount; t++) {
    const p = 2 * triangleVertices[3 * t]!;
    const q = 2 * triangleVertices[3 * t + 1]!;
    const r = 2 * triangleVertices[3 * t + 2]!;
    const ax = uvs[q]! - uvs[p]!;
    const ay = uvs[q + 1]! - uvs[p + 1]!;
    const bx = uvs[r]! - uvs[p]!;
    const by = uvs[r + 1]! - uvs[p + 1]!;
    const ux = direction[q]! - direction[p]!;
    const uy = direction[q + 1]! - direction[p + 1]!;
    const vx = direction[r]! - direction[p]!;
    const vy = direction[r + 1]! - direction[p + 1]!;
    const root = leastPositiveRoot(
      ux * vy - uy * vx,
      ax * vy - ay * vx + ux * by - uy * bx,
      ax * by - ay * bx,
    );
    if (root < limit) limit = root;
  }
  return limit;
}

/** Least positive root of a t² + b t + c with c > 0, or Infinity. */
export function leastPositiveRoot(a: number, b: number, c: number): number {
  if (a >= 0 && b >= 0) return Infinity;
  const discriminant = b * b - 4 * a * c;
  if (discriminant < 0) return Infinity;
  const root = Math.sqrt(discriminant);
  // With c > 0 this form of the lesser positive root never cancels.
  const denominator = -b + root;
  return denominator > 0 ? (2 * c) / denominator : Infinity;
}
