import type { Vec3 } from './vec3.js';

/** Symmetric 3 × 3 matrix: xx, xy, xz, yy, yz, zz. */
export type Symmetric3 = [number, number, number, number, number, number];

/** Each rotation squares what is left off the diagonal; six sweeps reach the last bit. */
const SWEEPS = 12;

/**
 * Unit eigenvectors of a symmetric 3 × 3 matrix, least eigenvalue first, by Jacobi's rotations (Golub & Van Loan,
 * "Matrix Computations", section 8.5, from memory). Equal eigenvalues keep the order of the axes. A matrix library
 * would be three quarters of the code that a mirror plane needs.
 */
export function symmetricEigenvectors([xx, xy, xz, yy, yz, zz]: Readonly<Symmetric3>): [Vec3, Vec3, Vec3] {
  const a = [
    [xx, xy, xz],
    [xy, yy, yz],
    [xz, yz, zz],
  ];
  const v = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ];
  for (let sweep = 0; sweep < SWEEPS; sweep++) {
    rotate(a, v, 0, 1);
    rotate(a, v, 0, 2);
    rotate(a, v, 1, 2);
  }
  const order = [0, 1, 2].sort((m, n) => a[m]![m]! - a[n]![n]! || m - n);
  return order.map((k): Vec3 => [v[0]![k]!, v[1]![k]!, v[2]![k]!]) as [Vec3, Vec3, Vec3];
}

/** Turns axes p and q so that the entry between them vanishes. */
function rotate(a: number[][], v: number[][], p: number, q: number): void {
  const off = a[p]![q]!;
  if (off === 0) return;
  const theta = (a[q]![q]! - a[p]![p]!) / (2 * off);
  const t = (theta < 0 ? -1 : 1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
  const c = 1 / Math.sqrt(t * t + 1);
  const s = t * c;
  const turn = (row: number[]) => {
    const [x, y] = [row[p]!, row[q]!];
    row[p] = c * x - s * y;
    row[q] = s * x + c * y;
  };
  a.forEach(turn);
  for (let k = 0; k < 3; k++) {
    const [x, y] = [a[p]![k]!, a[q]![k]!];
    a[p]![k] = c * x - s * y;
    a[q]![k] = s * x + c * y;
  }
  v.forEach(turn);
}
