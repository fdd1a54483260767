import type { RestTriangles } from '../flattening/index.js';

/**
 * Strains are per triangle, in the triangle's own frame, as (ε11, √2 ε12, ε22). A side of direction (c, s) is
 * strained by c² ε11 + 2 c s ε12 + s² ε22.
 */
export interface TriangleShape {
  /** Length of the first side, which lies along x. */
  base: number;
  /** Third corner. */
  foot: number;
  height: number;
}

/** Reads the shape of a rest triangle into `shape`. */
export function readShape(rest: RestTriangles, t: number, shape: TriangleShape): void {
  const base = 1 / rest.inverses[3 * t]!;
  const height = 1 / rest.inverses[3 * t + 2]!;
  shape.base = base;
  shape.height = height;
  shape.foot = -rest.inverses[3 * t + 1]! * base * height;
}

/**
 * Compliance of a triangle: with unknowns the potential at its corners (0, 1, 2) and the force along its sides
 * (3 + i: from corner i to corner i + 1), twice its elastic energy as a form in them. The lower triangle of
 * 6 × 6, row by row from `at`.
 *
 * The force on a side strains that side; the potential at a corner strains along the gradient of the corner's
 * angle, (cot B + cot C) λa − cot C λb − cot B λc, λ the strain of the side opposite each corner.
 */
export function writeTriangleCompliance(
  { base, foot, height }: TriangleShape,
  weight: number,
  compliance: Float64Array,
  at: number,
): void {
  const cotA = foot / height;
  const cotB = (base - foot) / height;
  const cotC = (height * height - foot * (base - foot)) / (base * height);
  writeSide(3, base, 0);
  writeSide(4, foot - base, height);
  writeSide(5, foot, height);
  for (let row = 0; row < 18; row += 6) {
    const ab = operator[row + 3]!;
    const bc = operator[row + 4]!;
    const ca = operator[row + 5]!;
    operator[row] = (cotB + cotC) * bc - cotC * ca - cotB * ab;
    operator[row + 1] = (cotC + cotA) * ca - cotA * ab - cotC * bc;
    operator[row + 2] = (cotA + cotB) * ab - cotB * bc - cotA * ca;
  }
  for (let i = 0; i < 6; i++) {
    const a = operator[i]! / weight;
    const b = operator[6 + i]! / weight;
    const c = operator[12 + i]! / weight;
    for (let j = 0; j <= i; j++)
      compliance[at + (i * (i + 1)) / 2 + j] =
        a * operator[j]! + b * operator[6 + j]! + c * operator[12 + j]!;
  }
}

/** Strain by each unknown, 3 × 6: scratch. */
const operator = new Float64Array(18);

function writeSide(column: number, x: number, y: number): void {
  const square = x * x + y * y;
  operator[column] = (x * x) / square;
  operator[column + 6] = (Math.SQRT2 * x * y) / square;
  operator[column + 12] = (y * y) / square;
}
