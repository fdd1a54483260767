/** Least x and y, greatest x and y of points given as x y x y …; infinite the wrong way round for none. */
export function planarBounds(points: ArrayLike<number>): [number, number, number, number] {
  const bounds: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let k = 0; k < points.length; k += 2) {
    bounds[0] = Math.min(bounds[0], points[k]!);
    bounds[1] = Math.min(bounds[1], points[k + 1]!);
    bounds[2] = Math.max(bounds[2], points[k]!);
    bounds[3] = Math.max(bounds[3], points[k + 1]!);
  }
  return bounds;
}
