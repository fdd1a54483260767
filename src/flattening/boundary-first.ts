import type { SymmetricMatrix } from '../linalg/index.js';
import { analyse, LdlSolver, multiply } from '../linalg/index.js';
import type { BlockPattern } from './block-pattern.js';
import type { ReducedMatrix } from './cotangents.js';
import {
  angleSums,
  assembleLaplacian,
  measureCorners,
  reducedRightHandSide,
  reduceMatrix,
} from './cotangents.js';
import type { RestTriangles } from './rest-triangles.js';

/**
 * Boundary-first flattening with zero scale along the border (Sawhney & Crane 2017), which has the least
 * area distortion of all conformal maps (Chebyshev): solves for the scale inside, takes the border's
 * curvature from it, lays the border out and extends it harmonically.
 *
 * One factorisation of a Laplacian without the border, and three solves. May flip or overlap.
 */
export function flattenBoundaryFirst(
  rest: RestTriangles,
  pattern: BlockPattern,
  border: Int32Array,
): Float64Array {
  return new BoundaryFirst(rest, pattern, border).map(0);
}

/** The same with borders rounded more or less, for one factorisation. */
export class BoundaryFirst {
  readonly #rest: RestTriangles;
  readonly #border: Int32Array;
  readonly #laplacian: SymmetricMatrix;
  readonly #reduced: ReducedMatrix;
  readonly #solver: LdlSolver | undefined;
  readonly #lengths: Float64Array;
  /** Turns of the border that has zero scale, and of a round one. */
  readonly #turns: Float64Array;
  readonly #roundTurns: Float64Array;

  constructor(rest: RestTriangles, pattern: BlockPattern, border: Int32Array) {
    this.#rest = rest;
    this.#border = border;
    const corners = measureCorners(rest);
    this.#laplacian = assembleLaplacian(rest, pattern, corners);
    const isBorder = new Uint8Array(rest.vertexCount);
    for (const v of border) isBorder[v] = 1;
    this.#reduced = reduceMatrix(this.#laplacian, isBorder);
    const { fullIndex, matrix } = this.#reduced;
    this.#solver = fullIndex.length > 0 ? new LdlSolver(analyse(matrix)).factor(matrix.values) : undefined;
    this.#lengths = borderLengths(rest, border);
    this.#turns = this.#findTurns(angleSums(rest, corners));
    const perimeter = this.#lengths.reduce((sum, length) => sum + length, 0);
    const n = border.length;
    this.#roundTurns = this.#lengths.map(
      (length, i) => (Math.PI * (length + this.#lengths[(i + n - 1) % n]!)) / perimeter,
    );
  }

  /** @param roundness - 0 for the border's own curvature, 1 for a round border, which cannot cross itself */
  map(roundness: number): Float64Array {
    const turns = this.#turns.map((turn, i) => turn + roundness * (this.#roundTurns[i]! - turn));
    const outline = layOutBorder(this.#lengths, turns);
    const { vertexCount } = this.#rest;
    const uvs = new Float64Array(2 * vertexCount);
    for (let axis = 0; axis < 2; axis++) {
      const given = new Float64Array(vertexCount);
      this.#border.forEach((v, i) => {
        given[v] = outline[2 * i + axis]!;
        uvs[2 * v + axis] = given[v]!;
      });
      this.#solver?.solve(reducedRightHandSide(this.#laplacian, this.#reduced, given)).forEach((x, i) => {
        uvs[2 * this.#reduced.fullIndex[i]! + axis] = x;
      });
    }
    return uvs;
  }

  /** Turn of the border at each of its vertices where its scale is zero. */
  #findTurns(sums: Float64Array): Float64Array {
    const { fullIndex } = this.#reduced;
    const scales = new Float64Array(this.#rest.vertexCount);
    if (this.#solver) {
      const defects = Float64Array.from(fullIndex, (v) => sums[v]! - 2 * Math.PI);
      this.#solver.solve(defects).forEach((u, i) => {
        scales[fullIndex[i]!] = u;
      });
    }
    const flux = multiply(this.#laplacian, scales);
    return Float64Array.from(this.#border, (v) => Math.PI - sums[v]! + flux[v]!);
  }
}

/** Closes the polygon of the border's lengths and turning angles by the least relative change of lengths. */
function layOutBorder(lengths: Float64Array, turns: Float64Array): Float64Array {
  const n = lengths.length;
  const tangents = new Float64Array(2 * n);
  let angle = 0;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  let gapX = 0;
  let gapY = 0;
  for (let i = 0; i < n; i++) {
    const x = Math.cos(angle);
    const y = Math.sin(angle);
    const l = lengths[i]!;
    tangents[2 * i] = x;
    tangents[2 * i + 1] = y;
    xx += l * x * x;
    xy += l * x * y;
    yy += l * y * y;
    gapX += l * x;
    gapY += l * y;
    angle += turns[(i + 1) % n]!;
  }
  const determinant = xx * yy - xy * xy;
  const mx = (yy * gapX - xy * gapY) / determinant;
  const my = (xx * gapY - xy * gapX) / determinant;
  const outline = new Float64Array(2 * n);
  for (let i = 0; i + 1 < n; i++) {
    const x = tangents[2 * i]!;
    const y = tangents[2 * i + 1]!;
    const l = lengths[i]! * (1 - x * mx - y * my);
    outline[2 * i + 2] = outline[2 * i]! + l * x;
    outline[2 * i + 3] = outline[2 * i + 1]! + l * y;
  }
  return outline;
}

/** Rest length of each border side, from the rest triangle that has it. */
export function borderLengths(rest: RestTriangles, border: Int32Array): Float64Array {
  const n = border.length;
  const sideOf = new Map<number, number>();
  for (let i = 0; i < n; i++) sideOf.set(border[i]! * rest.vertexCount + border[(i + 1) % n]!, i);
  const lengths = new Float64Array(n);
  for (let t = 0; t < rest.triangleCount; t++) {
    for (let k = 0; k < 3; k++) {
      const i = sideOf.get(
        rest.triangleVertices[3 * t + k]! * rest.vertexCount + rest.triangleVertices[3 * t + ((k + 1) % 3)]!,
      );
      if (i !== undefined) lengths[i] = sideLength(rest, t, k);
    }
  }
  return lengths;
}

function sideLength(rest: RestTriangles, t: number, k: number): number {
  const base = 1 / rest.inverses[3 * t]!;
  const height = 1 / rest.inverses[3 * t + 2]!;
  const x = -rest.inverses[3 * t + 1]! * base * height;
  return k === 0 ? base : k === 1 ? Math.hypot(base - x, height) : Math.hypot(x, height);
}
