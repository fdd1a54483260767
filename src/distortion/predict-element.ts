/**
 * Strains are per triangle, in the triangle's own frame, as (ε11, √2 ε12, ε22). A side of direction (c, s) is
 * strained by c² ε11 + 2 c s ε12 + s² ε22.
 */
export interface TriangleShape {
  /** First side along x, foot and height of the third corner. */
  readonly base: number;
  readonly foot: number;
  readonly height: number;
}

/**
 * How a triangle's strain, times its weight, follows from the potential at its corners (columns 0, 1, 2) and
 * the force along its sides (column 3 + i: from corner i to corner i + 1): 3 × 6, row by row.
 *
 * The column of a corner is the gradient of its angle: (cot B + cot C) λa − cot C λb − cot B λc for corner A,
 * with λ the strain of the side opposite each corner.
 */
export function writeTriangleOperator(shape: TriangleShape, operator: Float64Array): void {
  const { base, foot, height } = shape;
  const cotA = foot / height;
  const cotB = (base - foot) / height;
  const cotC = (height * height - foot * (base - foot)) / (base * height);
  writeSide(operator, 3, base, 0);
  writeSide(operator, 4, foot - base, height);
  writeSide(operator, 5, foot, height);
  for (let row = 0; row < 18; row += 6) {
    const ab = operator[row + 3]!;
    const bc = operator[row + 4]!;
    const ca = operator[row + 5]!;
    operator[row] = (cotB + cotC) * bc - cotC * ca - cotB * ab;
    operator[row + 1] = (cotC + cotA) * ca - cotA * ab - cotC * bc;
    operator[row + 2] = (cotA + cotB) * ab - cotB * bc - cotA * ca;
  }
}

function writeSide(operator: Float64Array, column: number, x: number, y: number): void {
  const square = x * x + y * y;
  operator[column] = (x * x) / square;
  operator[column + 6] = (Math.SQRT2 * x * y) / square;
  operator[column + 12] = (y * y) / square;
}

/** Compliance of a triangle, operatorᵀ operator / weight: 6 × 6, row by row. */
export function writeTriangleCompliance(
  operator: Float64Array,
  weight: number,
  compliance: Float64Array,
): void {
  for (let i = 0; i < 6; i++) {
    for (let j = 0; j <= i; j++) {
      const product =
        operator[i]! * operator[j]! +
        operator[6 + i]! * operator[6 + j]! +
        operator[12 + i]! * operator[12 + j]!;
      compliance[6 * i + j] = product / weight;
      compliance[6 * j + i] = product / weight;
    }
  }
}

/** A triangle of a quad: its corners as corners of the quad. */
export interface QuadTriangle extends TriangleShape {
  readonly corners: readonly [number, number, number];
  readonly weight: number;
  /** Weight of its angles, 1 where the triangulation it belongs to counts fully. */
  readonly share: number;
}

/** Sides 0–3, then the diagonals 0–2 and 1–3. */
const QUAD_EDGES = [
  [-1, 0, 4, 3],
  [0, -1, 1, 5],
  [4, 1, -1, 2],
  [3, 5, 2, -1],
] as const;

/**
 * Compliance of a quad whose energy is the mean of both its triangulations on the same four corners:
 * columns 0–3 the potential at its corners, 4–7 the force along its sides. The six distances between four
 * points of a plane depend on one another; a quad that is not planar so has an energy of its own.
 */
export class QuadElement {
  readonly compliance = new Float64Array(64);
  readonly load = new Float64Array(8);
  ownEnergy = 0;
  readonly #stiffness = new Float64Array(36);
  readonly #columns = new Float64Array(54);

  /** Returns false when the quad is too thin for numbers to hold. */
  compute(triangles: readonly QuadTriangle[]): boolean {
    this.#stiffness.fill(0);
    this.#columns.fill(0);
    let misfit = 0;
    for (const triangle of triangles) misfit += this.#add(triangle);
    for (let i = 0; i < 4; i++) this.#columns[9 * i + 4 + i] = 1;
    if (!choleskySolve(this.#stiffness, this.#columns)) return false;
    this.#condense(-misfit);
    return true;
  }

  /** Adds a triangle's stiffness and angles; returns its part in the angles at corner 0 that must agree. */
  #add(triangle: QuadTriangle): number {
    const { corners, base, foot, height, weight, share } = triangle;
    const edges = [0, 1, 2].map((k) => QUAD_EDGES[corners[k]!]![corners[(k + 1) % 3]!]!);
    addStiffness(this.#stiffness, triangle, edges, weight);
    const cots = [
      foot / height,
      (base - foot) / height,
      (height * height - foot * (base - foot)) / (base * height),
    ];
    let misfit = 0;
    for (let k = 0; k < 3; k++) {
      const own = cots[(k + 1) % 3]!;
      const other = cots[(k + 2) % 3]!;
      // Side k + 1 lies opposite corner k, side k + 2 opposite corner k + 1, side k opposite corner k + 2.
      const column = corners[k]!;
      this.#columns[9 * edges[(k + 1) % 3]! + column]! += share * (own + other);
      this.#columns[9 * edges[(k + 2) % 3]! + column]! -= share * other;
      this.#columns[9 * edges[k]! + column]! -= share * own;
      if (column !== 0) continue;
      // The two triangles on the diagonal through corner 0 against the one that spans it.
      const sign = corners.includes(2) ? 1 : -1;
      this.#columns[9 * edges[(k + 1) % 3]! + 8]! += sign * (own + other);
      this.#columns[9 * edges[(k + 2) % 3]! + 8]! -= sign * other;
      this.#columns[9 * edges[k]! + 8]! -= sign * own;
      misfit += sign * Math.atan2(1, cots[k]!);
    }
    return misfit;
  }

  #condense(misfit: number): void {
    const { compliance, load } = this;
    const columns = this.#columns;
    const product = (a: number, b: number) => {
      let sum = 0;
      for (let k = 0; k < 54; k += 9) sum += columns[k + a]! * columns[k + b]!;
      return sum;
    };
    const pivot = product(8, 8);
    this.ownEnergy = (misfit * misfit) / pivot;
    for (let a = 0; a < 8; a++) {
      const ratio = product(a, 8) / pivot;
      load[a] = -ratio * misfit;
      for (let b = 0; b <= a; b++) {
        compliance[8 * a + b] = product(a, b) - ratio * product(b, 8);
        compliance[8 * b + a] = compliance[8 * a + b]!;
      }
    }
  }
}

/** Adds weight · |ε|² of a triangle, as a form in the strains of its sides. */
function addStiffness(
  stiffness: Float64Array,
  { base, foot, height }: TriangleShape,
  edges: readonly number[],
  weight: number,
): void {
  const bc = ((foot - base) ** 2 + height ** 2) / (2 * base * height);
  const ca = (foot ** 2 + height ** 2) / (2 * base * height);
  const ab = ((foot - base) ** 2 - foot ** 2) / (2 * base * height);
  // ε11 = λab; ε12 = ca λca − bc λbc + ab λab; ε22 from the side CA.
  const e12 = [ab, -bc, ca];
  const scale = (foot ** 2 + height ** 2) / height ** 2;
  const slope = (2 * foot) / height;
  const e22 = [-((foot / height) ** 2) - slope * ab, slope * bc, scale - slope * ca];
  const e11 = [1, 0, 0];
  for (let i = 0; i < 3; i++)
    for (let j = 0; j < 3; j++)
      stiffness[6 * edges[i]! + edges[j]!]! +=
        weight * (e11[i]! * e11[j]! + 2 * e12[i]! * e12[j]! + e22[i]! * e22[j]!);
}

/** Replaces the 6 × 9 right-hand sides by L⁻¹ of them, L the Cholesky factor of the 6 × 6 matrix. */
function choleskySolve(matrix: Float64Array, columns: Float64Array): boolean {
  for (let j = 0; j < 6; j++) {
    const diagonal = matrix[7 * j]!;
    let pivot = diagonal;
    for (let k = 0; k < j; k++) pivot -= matrix[6 * j + k]! ** 2;
    if (!(pivot > 1e-10 * diagonal)) return false;
    const root = Math.sqrt(pivot);
    matrix[7 * j] = root;
    for (let i = j + 1; i < 6; i++) {
      let sum = matrix[6 * i + j]!;
      for (let k = 0; k < j; k++) sum -= matrix[6 * i + k]! * matrix[6 * j + k]!;
      matrix[6 * i + j] = sum / root;
    }
    for (let c = 0; c < 9; c++) {
      let sum = columns[9 * j + c]!;
      for (let k = 0; k < j; k++) sum -= matrix[6 * j + k]! * columns[9 * k + c]!;
      columns[9 * j + c] = sum / root;
    }
  }
  return true;
}
