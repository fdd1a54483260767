import { orient2d } from 'robust-predicates';
import type { FlattenMeasure } from './flatten-options.js';
import type { RestTriangles } from './rest-triangles.js';

/** Local faces with a triangle that is not positive, decided exactly; ascending. */
export function findFlippedFaces(rest: RestTriangles, uvs: Float64Array): number[] {
  const flipped = new Set<number>();
  const { triangleVertices } = rest;
  for (let t = 0; t < rest.triangleCount; t++) {
    const a = 2 * triangleVertices[3 * t]!;
    const b = 2 * triangleVertices[3 * t + 1]!;
    const c = 2 * triangleVertices[3 * t + 2]!;
    // orient2d is negative for counter-clockwise corners; NaN counts as flipped.
    if (!(orient2d(uvs[a]!, uvs[a + 1]!, uvs[b]!, uvs[b + 1]!, uvs[c]!, uvs[c + 1]!) < 0))
      flipped.add(rest.triangleFaces[t]!);
  }
  return [...flipped].sort((a, b) => a - b);
}

/** A map's worth under a measure: least is best, Infinity when it has a flip. */
export function judgeMap(rest: RestTriangles, uvs: Float64Array, measure: FlattenMeasure): number {
  const { triangleVertices, inverses, weights } = rest;
  let covered = 0;
  let squares = 0;
  let inverseSquares = 0;
  let anisotropy = 0;
  const areas = new Float64Array(rest.triangleCount);
  for (let t = 0; t < rest.triangleCount; t++) {
    const p = 2 * triangleVertices[3 * t]!;
    const q = 2 * triangleVertices[3 * t + 1]!;
    const r = 2 * triangleVertices[3 * t + 2]!;
    const du = uvs[q]! - uvs[p]!;
    const dv = uvs[q + 1]! - uvs[p + 1]!;
    const a = du * inverses[3 * t]!;
    const c = dv * inverses[3 * t]!;
    const b = du * inverses[3 * t + 1]! + (uvs[r]! - uvs[p]!) * inverses[3 * t + 2]!;
    const d = dv * inverses[3 * t + 1]! + (uvs[r + 1]! - uvs[p + 1]!) * inverses[3 * t + 2]!;
    const det = a * d - b * c;
    if (!(det > 0)) return Infinity;
    const norm = a * a + b * b + c * c + d * d;
    const large = (Math.hypot(a + d, c - b) + Math.hypot(a - d, b + c)) / 2;
    areas[t] = det;
    covered += weights[t]! * det;
    squares += weights[t]! * norm;
    inverseSquares += (weights[t]! * norm) / (det * det);
    anisotropy += (weights[t]! * large * large) / det;
  }
  if (measure === 'isometry') return 2 * Math.sqrt(squares * inverseSquares);
  if (measure === 'angles') return anisotropy;
  if (measure === 'stretch') return Math.sqrt((covered * inverseSquares) / 2);
  let areaError = 0;
  for (let t = 0; t < areas.length; t++)
    areaError += weights[t]! * Math.max(areas[t]! / covered, covered / areas[t]!);
  return areaError;
}
