/** Adds the normal of triangle `t`, twice its area long, to the triple at `o`. */
export function addTriangleNormal(
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
