/**
 * Cuts a polygon into triangles by clipping ears in the plane of its mean normal; polygons so twisted that no
 * ear is left are finished as a fan.
 *
 * @param points - flat xyz
 * @param corners - point index of each corner, in order round the polygon
 * @returns positions in `corners`, three for each of the `corners.length - 2` triangles, in the polygon's sense
 *
 * Of all ears the one with the shortest cut goes first, so a quad is cut along its shorter inner diagonal.
 * O(n³) at worst, O(n) for the faces of real models.
 */
export function triangulateFace(points: ArrayLike<number>, corners: ArrayLike<number>): number[] {
  const n = corners.length;
  if (n === 3) return [0, 1, 2];
  const flat = projectToPlane(points, corners);
  const remaining = Array.from({ length: n }, (_, i) => i);
  const triangles: number[] = [];
  while (remaining.length > 3) {
    const ear = findEar(flat, remaining);
    const m = remaining.length;
    triangles.push(remaining[(ear + m - 1) % m]!, remaining[ear]!, remaining[(ear + 1) % m]!);
    remaining.splice(ear, 1);
  }
  triangles.push(...remaining);
  return triangles;
}

/** Position of the ear with the shortest cut; 1 when there is none, which goes on as a fan. */
function findEar(flat: Float64Array, remaining: readonly number[]): number {
  const m = remaining.length;
  let best = 1;
  let bestLength = Infinity;
  for (let i = 0; i < m; i++) {
    const a = remaining[(i + m - 1) % m]!;
    const b = remaining[i]!;
    const c = remaining[(i + 1) % m]!;
    const length = Math.hypot(flat[2 * a]! - flat[2 * c]!, flat[2 * a + 1]! - flat[2 * c + 1]!);
    if (length >= bestLength || turn(flat, a, b, c) <= 0) continue;
    const holdsOther = remaining.some(
      (p) =>
        p !== a &&
        p !== b &&
        p !== c &&
        turn(flat, a, b, p) >= 0 &&
        turn(flat, b, c, p) >= 0 &&
        turn(flat, c, a, p) >= 0,
    );
    if (holdsOther) continue;
    best = i;
    bestLength = length;
  }
  return best;
}

/** Twice the signed area of a triangle in the plane. */
const turn = (flat: Float64Array, a: number, b: number, c: number): number =>
  (flat[2 * b]! - flat[2 * a]!) * (flat[2 * c + 1]! - flat[2 * a + 1]!) -
  (flat[2 * b + 1]! - flat[2 * a + 1]!) * (flat[2 * c]! - flat[2 * a]!);

/** Drops the coordinate along which the polygon's normal (Newell's sum) is longest, keeping its sense. */
function projectToPlane(points: ArrayLike<number>, corners: ArrayLike<number>): Float64Array {
  const n = corners.length;
  const normal = [0, 0, 0];
  for (let i = 0; i < n; i++) {
    const p = 3 * corners[i]!;
    const q = 3 * corners[(i + 1) % n]!;
    for (let k = 0; k < 3; k++) {
      const a = (k + 1) % 3;
      const b = (k + 2) % 3;
      normal[k]! += (points[p + a]! - points[q + a]!) * (points[p + b]! + points[q + b]!);
    }
  }
  let axis = 0;
  for (let k = 1; k < 3; k++) if (Math.abs(normal[k]!) > Math.abs(normal[axis]!)) axis = k;
  const [first, second] =
    normal[axis]! < 0 ? [(axis + 2) % 3, (axis + 1) % 3] : [(axis + 1) % 3, (axis + 2) % 3];
  const flat = new Float64Array(2 * n);
  for (let i = 0; i < n; i++) {
    flat[2 * i] = points[3 * corners[i]! + first]!;
    flat[2 * i + 1] = points[3 * corners[i]! + second]!;
  }
  return flat;
}
