import type { TriangleShape } from './predict-element.js';

/** Number of the edge between two corners of a quad: sides 0–3, then the diagonals 0–2 and 1–3. */
const QUAD_EDGES = Int8Array.of(-1, 0, 4, 3, 0, -1, 1, 5, 4, 1, -1, 2, 3, 5, 2, -1);
const EDGES = 6;
/** Four potentials, four forces, and the multiplier of the quad's own misfit. */
const COLUMNS = 9;
const MISFIT = 8;

/**
 * Compliance of a quad whose energy is the mean over both its triangulations, on the same four corners, so
 * that neither diagonal is preferred. The six distances between four points of a plane depend on one another;
 * a quad that is not planar therefore has a misfit, and an energy, of its own. To first order its four corners
 * all say the same of it; their sum keeps the corners equal.
 *
 * `begin`, then `addTriangle` for each triangle of both triangulations, then `finish`.
 */
export class QuadElement {
  /** What the misfit puts on the right-hand side of the eight unknowns. */
  readonly load = new Float64Array(8);
  ownEnergy = 0;
  readonly #stiffness = new Float64Array(EDGES * EDGES);
  readonly #columns = new Float64Array(EDGES * COLUMNS);
  readonly #gram = new Float64Array(COLUMNS * COLUMNS);
  #misfit = 0;

  begin(): void {
    this.#stiffness.fill(0);
    this.#columns.fill(0);
    this.#misfit = 0;
    // The force along a side strains that side.
    for (let i = 0; i < 4; i++) this.#columns[COLUMNS * i + 4 + i] = 1;
  }

  /**
   * @param i, j, k - the triangle's corners as corners of the quad
   * @param share - weight of its angles among the triangulations
   */
  addTriangle(shape: TriangleShape, i: number, j: number, k: number, weight: number, share: number): void {
    const ab = QUAD_EDGES[4 * i + j]!;
    const bc = QUAD_EDGES[4 * j + k]!;
    const ca = QUAD_EDGES[4 * k + i]!;
    const { base, foot, height } = shape;
    this.#addStiffness(shape, ab, bc, ca, weight);
    const cotA = foot / height;
    const cotB = (base - foot) / height;
    const cotC = (height * height - foot * (base - foot)) / (base * height);
    this.#addAngle(i, bc, ca, ab, cotB, cotC, share);
    this.#addAngle(j, ca, ab, bc, cotC, cotA, share);
    this.#addAngle(k, ab, bc, ca, cotA, cotB, share);
    // Round every corner the two triangles on the diagonal through it must span the angle of the one beside it.
    this.#addMisfit(bc, ca, ab, cotA, cotB, cotC, bc < 4 ? 1 : -1);
    this.#addMisfit(ca, ab, bc, cotB, cotC, cotA, ca < 4 ? 1 : -1);
    this.#addMisfit(ab, bc, ca, cotC, cotA, cotB, ab < 4 ? 1 : -1);
  }

  /** Gradient of the angle at a corner: `opposite` faces it, `next` faces the corner after it, `last` the one before. */
  #addAngle(
    column: number,
    opposite: number,
    next: number,
    last: number,
    cotNext: number,
    cotLast: number,
    share: number,
  ): void {
    const columns = this.#columns;
    columns[COLUMNS * opposite + column]! += share * (cotNext + cotLast);
    columns[COLUMNS * next + column]! -= share * cotLast;
    columns[COLUMNS * last + column]! -= share * cotNext;
  }

  #addMisfit(
    opposite: number,
    next: number,
    last: number,
    cot: number,
    cotNext: number,
    cotLast: number,
    sign: number,
  ): void {
    this.#addAngle(MISFIT, opposite, next, last, cotNext, cotLast, sign);
    this.#misfit -= sign * Math.atan2(1, cot);
  }

  /** Adds weight · |ε|² of a triangle, as a form in the strains of its sides. */
  #addStiffness(
    { base, foot, height }: TriangleShape,
    ab: number,
    bc: number,
    ca: number,
    weight: number,
  ): void {
    const area4 = 2 * base * height;
    const bcSquare = (foot - base) * (foot - base) + height * height;
    const caSquare = foot * foot + height * height;
    // ε11 = λab; ε12 from the sides BC and CA; ε22 from CA.
    const ab12 = (base * base - 2 * base * foot) / area4;
    const bc12 = -bcSquare / area4;
    const ca12 = caSquare / area4;
    const slope = (2 * foot) / height;
    const ab22 = -(foot * foot) / (height * height) - slope * ab12;
    const bc22 = -slope * bc12;
    const ca22 = caSquare / (height * height) - slope * ca12;
    const s = this.#stiffness;
    s[7 * ab]! += weight * (1 + 2 * ab12 * ab12 + ab22 * ab22);
    s[7 * bc]! += weight * (2 * bc12 * bc12 + bc22 * bc22);
    s[7 * ca]! += weight * (2 * ca12 * ca12 + ca22 * ca22);
    const abBc = weight * (2 * ab12 * bc12 + ab22 * bc22);
    const bcCa = weight * (2 * bc12 * ca12 + bc22 * ca22);
    const caAb = weight * (2 * ca12 * ab12 + ca22 * ab22);
    s[EDGES * ab + bc]! += abBc;
    s[EDGES * bc + ab]! += abBc;
    s[EDGES * bc + ca]! += bcCa;
    s[EDGES * ca + bc]! += bcCa;
    s[EDGES * ca + ab]! += caAb;
    s[EDGES * ab + ca]! += caAb;
  }

  /**
   * Writes the compliance, the lower triangle of 8 × 8 row by row from `at`. Returns false when the quad is too thin for
   * numbers to hold; nothing is written then.
   */
  finish(compliance: Float64Array, at: number): boolean {
    if (!solveCholesky(this.#stiffness, this.#columns)) return false;
    const gram = this.#gram;
    writeGram(this.#columns, gram);
    const pivot = gram[COLUMNS * MISFIT + MISFIT]!;
    this.ownEnergy = (this.#misfit * this.#misfit) / pivot;
    for (let a = 0; a < 8; a++) {
      const ratio = gram[COLUMNS * MISFIT + a]! / pivot;
      this.load[a] = -ratio * this.#misfit;
      for (let b = 0; b <= a; b++)
        compliance[at + (a * (a + 1)) / 2 + b] = gram[COLUMNS * a + b]! - ratio * gram[COLUMNS * MISFIT + b]!;
    }
    return true;
  }
}

/** Lower triangle of columnsᵀ columns. */
function writeGram(columns: Float64Array, gram: Float64Array): void {
  for (let a = 0; a < COLUMNS; a++) {
    for (let b = 0; b <= a; b++) {
      let sum = 0;
      for (let k = 0; k < EDGES * COLUMNS; k += COLUMNS) sum += columns[k + a]! * columns[k + b]!;
      gram[COLUMNS * a + b] = sum;
    }
  }
}

/** Replaces the right-hand sides by L⁻¹ of them, L the Cholesky factor of the 6 × 6 matrix; false when it has none. */
function solveCholesky(matrix: Float64Array, columns: Float64Array): boolean {
  for (let j = 0; j < EDGES; j++) {
    const diagonal = matrix[7 * j]!;
    let pivot = diagonal;
    for (let k = 0; k < j; k++) pivot -= matrix[EDGES * j + k]! * matrix[EDGES * j + k]!;
    if (!(pivot > 1e-10 * diagonal)) return false;
    const inverse = 1 / Math.sqrt(pivot);
    for (let i = j + 1; i < EDGES; i++) {
      let sum = matrix[EDGES * i + j]!;
      for (let k = 0; k < j; k++) sum -= matrix[EDGES * i + k]! * matrix[EDGES * j + k]!;
      matrix[EDGES * i + j] = sum * inverse;
    }
    for (let c = 0; c < COLUMNS; c++) {
      let sum = columns[COLUMNS * j + c]!;
      for (let k = 0; k < j; k++) sum -= matrix[EDGES * j + k]! * columns[COLUMNS * k + c]!;
      columns[COLUMNS * j + c] = sum * inverse;
    }
  }
  return true;
}
