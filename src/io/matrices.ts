/** 4 × 4 affine matrices in column-major order, as glTF and OpenUSD files list them. */
export type Matrix4 = readonly number[];

export const IDENTITY: Matrix4 = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1];

/** a · b, acting on column vectors. */
export function multiply(a: Matrix4, b: Matrix4): Matrix4 {
  const product: number[] = [];
  for (let column = 0; column < 4; column++) {
    for (let row = 0; row < 4; row++) {
      let sum = 0;
      for (let k = 0; k < 4; k++) sum += a[4 * k + row]! * b[4 * column + k]!;
      product.push(sum);
    }
  }
  return product;
}

/** Determinant of the linear part. */
export const determinant = (m: Matrix4): number =>
  m[0]! * (m[5]! * m[10]! - m[6]! * m[9]!) -
  m[4]! * (m[1]! * m[10]! - m[2]! * m[9]!) +
  m[8]! * (m[1]! * m[6]! - m[2]! * m[5]!);

/** Whether the matrix is finite and keeps every direction; one that flattens would destroy the surface. */
export function isUsable(m: Matrix4): boolean {
  if (!m.every(Number.isFinite)) return false;
  const lengths = [0, 4, 8].map((i) => Math.hypot(m[i]!, m[i + 1]!, m[i + 2]!));
  return Math.abs(determinant(m)) > 1e-9 * lengths[0]! * lengths[1]! * lengths[2]!;
}

/** Applies the matrix to the point at `3 * i` of a flat array, in place. */
export function transformPoint(m: Matrix4, points: Float64Array, i: number): void {
  const x = points[3 * i]!;
  const y = points[3 * i + 1]!;
  const z = points[3 * i + 2]!;
  points[3 * i] = m[0]! * x + m[4]! * y + m[8]! * z + m[12]!;
  points[3 * i + 1] = m[1]! * x + m[5]! * y + m[9]! * z + m[13]!;
  points[3 * i + 2] = m[2]! * x + m[6]! * y + m[10]! * z + m[14]!;
}

/** Inverse of an affine matrix; entries are not finite where it has none. */
export function invertAffine(m: Matrix4): Matrix4 {
  const det = determinant(m);
  const cofactor = (a: number, b: number, c: number, d: number) => (m[a]! * m[b]! - m[c]! * m[d]!) / det;
  const linear = [
    cofactor(5, 10, 6, 9),
    cofactor(2, 9, 1, 10),
    cofactor(1, 6, 2, 5),
    cofactor(6, 8, 4, 10),
    cofactor(0, 10, 2, 8),
    cofactor(2, 4, 0, 6),
    cofactor(4, 9, 5, 8),
    cofactor(1, 8, 0, 9),
    cofactor(0, 5, 1, 4),
  ];
  const shift = [0, 1, 2].map(
    (row) => -(linear[row]! * m[12]! + linear[3 + row]! * m[13]! + linear[6 + row]! * m[14]!),
  );
  return [...linear.slice(0, 3), 0, ...linear.slice(3, 6), 0, ...linear.slice(6, 9), 0, ...shift, 1];
}
