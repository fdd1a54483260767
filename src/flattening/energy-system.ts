import type { SymmetricMatrix } from '../linalg/index.js';
import type { BlockPattern } from './block-pattern.js';
import { blockMatrix, blockStarts } from './block-pattern.js';
import type { RestTriangles } from './rest-triangles.js';

/**
 * Quadratic model of the symmetric Dirichlet energy round the present map. `newton`: the exact Hessian with
 * its negative eigenvalues removed in closed form (Smith, De Goes & Kim 2019); fast near the optimum. Leaving
 * them in while the matrix stays positive was measured to save no steps.
 * `reweighted`: the distance to the closest rotations, reweighted so that the gradient agrees (Rabinovich
 * et al. 2017); far better while triangles are still shrunk to a small part of their size.
 */
export type EnergyModel = 'newton' | 'reweighted';

/** Gradient and Hessian of the energy of a chart, assembled element by element into one fixed pattern. */
export class EnergySystem {
  readonly matrix: SymmetricMatrix;
  readonly gradient: Float64Array;
  readonly #rest: RestTriangles;
  readonly #pattern: BlockPattern;
  readonly #left: Int32Array;
  readonly #right: Int32Array;

  constructor(rest: RestTriangles, pattern: BlockPattern) {
    this.#rest = rest;
    this.#pattern = pattern;
    this.matrix = blockMatrix(pattern);
    const { left, right } = blockStarts(pattern);
    this.#left = left;
    this.#right = right;
    this.gradient = new Float64Array(2 * rest.vertexCount);
  }

  /** Groups of unknowns for the ordering: the vertex of each. */
  get groups(): Int32Array {
    return Int32Array.from({ length: this.matrix.size }, (_, i) => i >> 1);
  }

  /** Fills `gradient` and `matrix.values` at `uvs`, where every triangle must be positive. */
  assemble(uvs: Float64Array, model: EnergyModel): void {
    const rest = this.#rest;
    const pattern = this.#pattern;
    const { elementOffsets } = rest;
    const { elementVertexOffsets } = pattern;
    this.matrix.values.fill(0);
    this.gradient.fill(0);
    const elementCount = elementOffsets.length - 1;
    let widest = 0;
    for (let e = 0; e < elementCount; e++)
      widest = Math.max(widest, elementVertexOffsets[e + 1]! - elementVertexOffsets[e]!);
    const dense = new Float64Array(4 * widest * widest);
    const isNewton = model === 'newton';
    for (let e = 0; e < elementCount; e++) {
      const width = 2 * (elementVertexOffsets[e + 1]! - elementVertexOffsets[e]!);
      dense.fill(0, 0, width * width);
      for (let t = elementOffsets[e]!; t < elementOffsets[e + 1]!; t++)
        addTriangle(rest, pattern.triangleSlots, uvs, t, isNewton, dense, width, this.gradient);
      this.#scatter(e, dense, width);
    }
  }

  /** Adds the gradient and the dense 6 × 6 Hessian of extra triple `k` of the pattern. */
  addTriple(k: number, gradient: Float64Array, dense: Float64Array): void {
    const e = this.#rest.elementOffsets.length - 1 + k;
    const first = this.#pattern.elementVertexOffsets[e]!;
    for (let i = 0; i < 6; i++)
      this.gradient[2 * this.#pattern.elementVertices[first + (i >> 1)]! + (i & 1)]! += gradient[i]!;
    this.#scatter(e, dense, 6);
  }

  #scatter(e: number, dense: Float64Array, width: number): void {
    const { elementVertexOffsets, elementVertices, elementPairOffsets, pairEntries } = this.#pattern;
    const values = this.matrix.values;
    const first = elementVertexOffsets[e]!;
    const count = width >> 1;
    let pair = elementPairOffsets[e]!;
    for (let i = 0; i < count; i++) {
      const vi = elementVertices[first + i]!;
      const row = 2 * i * width;
      for (let j = 0; j <= i; j++, pair++) {
        const entry = pairEntries[pair]!;
        const left = this.#left[entry]!;
        const right = this.#right[entry]!;
        const at = row + 2 * j;
        const uu = dense[at]!;
        const vv = dense[at + width + 1]!;
        values[left]! += uu;
        if (i === j) {
          values[left + 1]! += dense[at + width]!;
          values[right]! += vv;
          continue;
        }
        // The block is stored for (higher vertex, lower vertex); u-v and v-u swap when i is the lower.
        const uv = dense[at + 1]!;
        const vu = dense[at + width]!;
        const isHigher = vi > elementVertices[first + j]!;
        values[left + 1]! += isHigher ? vu : uv;
        values[right]! += isHigher ? uv : vu;
        values[right + 1]! += vv;
      }
    }
  }
}

// Eigenvectors of the Hessian in the space of Jacobians (a b; c d), four of four, and their eigenvalues.
const vectors = new Float64Array(16);
const eigenvalues = new Float64Array(4);
const spread = new Float64Array(6);
const scaled = new Float64Array(6);

/** Adds one triangle's gradient, and its Hessian to the element's dense lower triangle (row major, full rows). */
function addTriangle(
  rest: RestTriangles,
  slots: Int32Array,
  uvs: Float64Array,
  t: number,
  isNewton: boolean,
  dense: Float64Array,
  width: number,
  gradient: Float64Array,
): void {
  const { triangleVertices, inverses } = rest;
  const o = 3 * t;
  const weight = rest.weights[t]!;
  const p = 2 * triangleVertices[o]!;
  const q = 2 * triangleVertices[o + 1]!;
  const r = 2 * triangleVertices[o + 2]!;
  const i11 = inverses[o]!;
  const i12 = inverses[o + 1]!;
  const i22 = inverses[o + 2]!;
  const du = uvs[q]! - uvs[p]!;
  const dv = uvs[q + 1]! - uvs[p + 1]!;
  const a = du * i11;
  const b = du * i12 + (uvs[r]! - uvs[p]!) * i22;
  const c = dv * i11;
  const d = dv * i12 + (uvs[r + 1]! - uvs[p + 1]!) * i22;
  // Gradients of the three hat functions.
  const x1 = i11;
  const y1 = i12;
  const y2 = i22;
  const x0 = -x1;
  const y0 = -y1 - y2;

  const det = a * d - b * c;
  const norm = a * a + b * b + c * c + d * d;
  const straight = 2 * weight * (1 + 1 / (det * det));
  const crossed = (-2 * weight * norm) / (det * det * det);
  const ga = straight * a + crossed * d;
  const gb = straight * b - crossed * c;
  const gc = straight * c - crossed * b;
  const gd = straight * d + crossed * a;
  gradient[p]! += ga * x0 + gb * y0;
  gradient[p + 1]! += gc * x0 + gd * y0;
  gradient[q]! += ga * x1 + gb * y1;
  gradient[q + 1]! += gc * x1 + gd * y1;
  gradient[r]! += gb * y2;
  gradient[r + 1]! += gd * y2;

  decompose(a, b, c, d, det);
  if (isNewton) writeNewton(det);
  else writeReweighted();

  const s0 = 2 * slots[o]!;
  const s1 = 2 * slots[o + 1]!;
  const s2 = 2 * slots[o + 2]!;
  for (let k = 0; k < 4; k++) {
    const value = weight * eigenvalues[k]!;
    if (value === 0) continue;
    const va = vectors[4 * k]!;
    const vb = vectors[4 * k + 1]!;
    const vc = vectors[4 * k + 2]!;
    const vd = vectors[4 * k + 3]!;
    spread[0] = va * x0 + vb * y0;
    spread[1] = vc * x0 + vd * y0;
    spread[2] = va * x1 + vb * y1;
    spread[3] = vc * x1 + vd * y1;
    spread[4] = vb * y2;
    spread[5] = vd * y2;
    for (let i = 0; i < 6; i++) scaled[i] = value * spread[i]!;
    addOuter(dense, width, s0, s1, s2);
  }
}

/** Adds spread · scaledᵀ at all nine corner pairs; only rows at or after their column are read later. */
function addOuter(dense: Float64Array, width: number, s0: number, s1: number, s2: number): void {
  for (let i = 0; i < 3; i++) {
    const si = i === 0 ? s0 : i === 1 ? s1 : s2;
    const top = si * width;
    const u = spread[2 * i]!;
    const v = spread[2 * i + 1]!;
    for (let j = 0; j < 3; j++) {
      const sj = j === 0 ? s0 : j === 1 ? s1 : s2;
      if (sj > si) continue;
      const x = scaled[2 * j]!;
      const y = scaled[2 * j + 1]!;
      const at = top + sj;
      dense[at]! += u * x;
      dense[at + 1]! += u * y;
      dense[at + width]! += v * x;
      dense[at + width + 1]! += v * y;
    }
  }
}

// u1x, u1y, v1x, v1y, σ1, σ2, cosine and sine of the closest rotation.
const frame = new Float64Array(8);

/** Singular value decomposition of (a b; c d) with positive determinant, without trigonometry. */
function decompose(a: number, b: number, c: number, d: number, det: number): void {
  const e = (a + d) / 2;
  const f = (a - d) / 2;
  const g = (c + b) / 2;
  const h = (c - b) / 2;
  const turnLength = Math.sqrt(e * e + h * h);
  const skewLength = Math.sqrt(f * f + g * g);
  const cosine = e / turnLength;
  const sine = h / turnLength;
  // V's first axis lies at half the angle of (f, g) turned back by the rotation.
  let doubleCosine = 1;
  let doubleSine = 0;
  if (skewLength > 1e-14 * turnLength) {
    const x = f / skewLength;
    const y = g / skewLength;
    doubleCosine = x * cosine + y * sine;
    doubleSine = y * cosine - x * sine;
  }
  let vx: number;
  let vy: number;
  if (doubleCosine >= 0) {
    vx = Math.sqrt((1 + doubleCosine) / 2);
    vy = doubleSine / (2 * vx);
  } else {
    vy = Math.sqrt((1 - doubleCosine) / 2);
    vx = doubleSine / (2 * vy);
  }
  frame[0] = cosine * vx - sine * vy;
  frame[1] = sine * vx + cosine * vy;
  frame[2] = vx;
  frame[3] = vy;
  frame[4] = turnLength + skewLength;
  frame[5] = det / (turnLength + skewLength);
  frame[6] = cosine;
  frame[7] = sine;
}

/**
 * Eigen-system of the energy's Hessian. With J = U Σ Vᵀ: twist U (0 −1; 1 0) Vᵀ/√2, flip U (0 1; 1 0) Vᵀ/√2 and
 * the two stretches U e_i e_iᵀ Vᵀ. Only the twist can be negative.
 */
function writeNewton(det: number): void {
  const ux = frame[0]!;
  const uy = frame[1]!;
  const vx = frame[2]!;
  const vy = frame[3]!;
  const large = frame[4]!;
  const small = frame[5]!;
  const half = Math.SQRT1_2;
  vectors[0] = -half * frame[7]!;
  vectors[1] = -half * frame[6]!;
  vectors[2] = half * frame[6]!;
  vectors[3] = -half * frame[7]!;
  vectors[4] = -half * (ux * vy + uy * vx);
  vectors[5] = half * (ux * vx - uy * vy);
  vectors[6] = half * (ux * vx - uy * vy);
  vectors[7] = half * (uy * vx + ux * vy);
  vectors[8] = ux * vx;
  vectors[9] = ux * vy;
  vectors[10] = uy * vx;
  vectors[11] = uy * vy;
  vectors[12] = uy * vy;
  vectors[13] = -uy * vx;
  vectors[14] = -ux * vy;
  vectors[15] = ux * vx;
  const cube = det * det * det;
  eigenvalues[0] = Math.max(0, 2 - (2 * (large * large - det + small * small)) / cube);
  eigenvalues[1] = 2 + (2 * (large * large + det + small * small)) / cube;
  eigenvalues[2] = 2 + 6 / (large * large * large * large);
  eigenvalues[3] = 2 + 6 / (small * small * small * small);
}

/** Directions u_i e_jᵀ with twice the squared weights (σ³ + σ² + σ + 1)/σ³ of the reweighted distance. */
function writeReweighted(): void {
  const ux = frame[0]!;
  const uy = frame[1]!;
  vectors.fill(0);
  vectors[0] = ux;
  vectors[2] = uy;
  vectors[5] = ux;
  vectors[7] = uy;
  vectors[8] = -uy;
  vectors[10] = ux;
  vectors[13] = -uy;
  vectors[15] = ux;
  for (let i = 0; i < 2; i++) {
    const inverse = 1 / frame[4 + i]!;
    const value = 2 * (1 + inverse * (1 + inverse * (1 + inverse)));
    eigenvalues[2 * i] = value;
    eigenvalues[2 * i + 1] = value;
  }
}
