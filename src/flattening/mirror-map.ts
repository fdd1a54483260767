import { InvalidOptionError } from '../errors.js';

/** @throws OPTION_INVALID unless every vertex's partner has it as partner */
export function checkMirrorPartners(partners: Int32Array, vertexCount: number): void {
  if (partners.length !== vertexCount) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `flattenChart: wrong number of mirror partners, got ${partners.length}, expected ${vertexCount}`,
    );
  }
  for (let v = 0; v < vertexCount; v++) {
    const p = partners[v]!;
    if (p >= 0 && p < vertexCount && partners[p] === v) continue;
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `flattenChart: vertex ${v} has the mirror partner ${p}, whose partner is ${partners[p]}, expected ${v}`,
      { vertex: v },
    );
  }
}

/** Moves the map so that its best mirror axis is u = 0, and averages it with its mirror image. */
export function symmetriseMap(uvs: Float64Array, partners: Int32Array): Float64Array {
  const n = partners.length;
  let meanU = 0;
  let meanV = 0;
  for (let v = 0; v < n; v++) {
    meanU += uvs[2 * v]! / n;
    meanV += uvs[2 * v + 1]! / n;
  }
  // A mirrored map has z(partner) = e^{iθ} · conj(z(v)) about its centre: θ is the angle of Σ z(partner) z(v).
  let real = 0;
  let imaginary = 0;
  for (let v = 0; v < n; v++) {
    const x = uvs[2 * v]! - meanU;
    const y = uvs[2 * v + 1]! - meanV;
    const px = uvs[2 * partners[v]!]! - meanU;
    const py = uvs[2 * partners[v]! + 1]! - meanV;
    real += px * x - py * y;
    imaginary += px * y + py * x;
  }
  const turn = (Math.PI - Math.atan2(imaginary, real)) / 2;
  const cosine = Math.cos(turn);
  const sine = Math.sin(turn);
  const turned = new Float64Array(2 * n);
  for (let v = 0; v < n; v++) {
    const x = uvs[2 * v]! - meanU;
    const y = uvs[2 * v + 1]! - meanV;
    turned[2 * v] = cosine * x - sine * y;
    turned[2 * v + 1] = sine * x + cosine * y;
  }
  symmetriseField(turned, partners);
  return turned;
}

/** Averages a field of vectors with its mirror image in u = 0, in place. */
export function symmetriseField(field: Float64Array, partners: Int32Array): void {
  for (let v = 0; v < partners.length; v++) {
    const p = partners[v]!;
    if (p < v) continue;
    const x = (field[2 * v]! - field[2 * p]!) / 2;
    const y = (field[2 * v + 1]! + field[2 * p + 1]!) / 2;
    field[2 * v] = x;
    field[2 * p] = p === v ? 0 : -x;
    field[2 * v + 1] = y;
    field[2 * p + 1] = y;
  }
}

/** Greatest distance of a vertex from its partner's image in u = 0. */
export function mirrorError(uvs: Float64Array, partners: Int32Array): number {
  let error = 0;
  for (let v = 0; v < partners.length; v++) {
    const p = partners[v]!;
    error = Math.max(error, Math.hypot(uvs[2 * v]! + uvs[2 * p]!, uvs[2 * v + 1]! - uvs[2 * p + 1]!));
  }
  return error;
}
