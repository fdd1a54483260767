import type { SymmetricMatrix } from '../linalg/index.js';
import type { BlockPattern } from './block-pattern.js';
import { blockMatrix, blockStarts, buildBlockPattern, findEntry } from './block-pattern.js';
import type { EnergyModel } from './energy-hessian.js';
import { hessian, writeNewton, writeReweighted } from './energy-hessian.js';
import type { MirrorFold } from './mirror-fold.js';
import type { RestTriangles } from './rest-triangles.js';

/**
 * Gradient and Hessian of the energy of a chart, assembled element by element into one fixed pattern. The gradient is
 * by all unknowns, the Hessian by those of the folded chart.
 */
export class EnergySystem {
  readonly matrix: SymmetricMatrix;
  readonly gradient: Float64Array;
  readonly #rest: RestTriangles;
  readonly #fold: MirrorFold;
  readonly #pattern: BlockPattern;
  readonly #left: Int32Array;
  readonly #right: Int32Array;

  /** @param extraPairs - further pairs of vertices to have entries for */
  constructor(rest: RestTriangles, fold: MirrorFold, extraPairs?: Int32Array) {
    const triangleVertices = fold.foldList(rest.triangleVertices);
    const pattern = buildBlockPattern(
      { ...rest, triangleVertices, vertexCount: fold.size },
      extraPairs && fold.foldList(extraPairs),
    );
    this.#rest = rest;
    this.#fold = fold;
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
    const { signs } = this.#fold;
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
        addTriangle(rest, pattern.triangleSlots, signs, uvs, t, isNewton, dense, width, this.gradient);
      this.#scatter(e, dense, width);
    }
  }

  /** Fills `gradient` at `uvs` and leaves the matrix as it is. */
  assembleGradient(uvs: Float64Array): void {
    this.gradient.fill(0);
    for (let t = 0; t < this.#rest.triangleCount; t++) addGradient(this.#rest, uvs, t, this.gradient);
  }

  /** Whether the pattern joins two vertices. */
  joins(a: number, b: number): boolean {
    const { slots } = this.#fold;
    return findEntry(this.#pattern, slots[a]!, slots[b]!) >= 0;
  }

  /** Adds a gradient and a dense 6 × 6 Hessian over three vertices; between those that the pattern does not join it must be 0. */
  addTriple(vertices: ArrayLike<number>, gradient: Float64Array, dense: Float64Array): void {
    this.addTripleGradient(vertices, gradient);
    const { slots, signs } = this.#fold;
    const block = new Float64Array(4);
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j <= i; j++) {
        const row = slots[vertices[i]!]!;
        const column = slots[vertices[j]!]!;
        const entry = findEntry(this.#pattern, row, column);
        if (entry < 0) continue;
        const at = 12 * i + 2 * j;
        block[0] = signs[vertices[i]!]! * signs[vertices[j]!]! * dense[at]!;
        block[1] = signs[vertices[i]!]! * dense[at + 1]!;
        block[2] = signs[vertices[j]!]! * dense[at + 6]!;
        block[3] = dense[at + 7]!;
        if (i !== j && row === column) addTransposed(block);
        this.#addBlock(entry, block, 0, 2, row > column, row === column);
      }
    }
  }

  addTripleGradient(vertices: ArrayLike<number>, gradient: Float64Array): void {
    for (let i = 0; i < 3; i++) {
      this.gradient[2 * vertices[i]!]! += gradient[2 * i]!;
      this.gradient[2 * vertices[i]! + 1]! += gradient[2 * i + 1]!;
    }
  }

  #scatter(e: number, dense: Float64Array, width: number): void {
    const { elementVertexOffsets, elementVertices, elementPairOffsets, pairEntries } = this.#pattern;
    const first = elementVertexOffsets[e]!;
    const count = width >> 1;
    let pair = elementPairOffsets[e]!;
    for (let i = 0; i < count; i++) {
      const vi = elementVertices[first + i]!;
      const row = 2 * i * width;
      for (let j = 0; j <= i; j++, pair++) {
        const isHigher = vi > elementVertices[first + j]!;
        this.#addBlock(pairEntries[pair]!, dense, row + 2 * j, width, isHigher, i === j);
      }
    }
  }

  /** Adds the 2 × 2 block at `at` of rows of `width`. It is stored for (higher vertex, lower vertex). */
  #addBlock(
    entry: number,
    dense: Float64Array,
    at: number,
    width: number,
    isHigher: boolean,
    isDiagonal: boolean,
  ): void {
    const values = this.matrix.values;
    const left = this.#left[entry]!;
    const right = this.#right[entry]!;
    values[left]! += dense[at]!;
    if (isDiagonal) {
      values[left + 1]! += dense[at + width]!;
      values[right]! += dense[at + width + 1]!;
      return;
    }
    // u-v and v-u swap when the row's vertex is the lower.
    values[left + 1]! += dense[isHigher ? at + width : at + 1]!;
    values[right]! += dense[isHigher ? at + 1 : at + width]!;
    values[right + 1]! += dense[at + width + 1]!;
  }
}

/** Jacobian (a b; c d) of the triangle whose gradient was added last. */
const jacobian = new Float64Array(4);

function addGradient(rest: RestTriangles, uvs: Float64Array, t: number, gradient: Float64Array): void {
  const { triangleVertices, inverses } = rest;
  const o = 3 * t;
  const weight = rest.weights[t]!;
  const p = 2 * triangleVertices[o]!;
  const q = 2 * triangleVertices[o + 1]!;
  const r = 2 * triangleVertices[o + 2]!;
  const x1 = inverses[o]!;
  const y1 = inverses[o + 1]!;
  const y2 = inverses[o + 2]!;
  const du = uvs[q]! - uvs[p]!;
  const dv = uvs[q + 1]! - uvs[p + 1]!;
  const a = du * x1;
  const b = du * y1 + (uvs[r]! - uvs[p]!) * y2;
  const c = dv * x1;
  const d = dv * y1 + (uvs[r + 1]! - uvs[p + 1]!) * y2;
  const det = a * d - b * c;
  const norm = a * a + b * b + c * c + d * d;
  const straight = 2 * weight * (1 + 1 / (det * det));
  const crossed = (-2 * weight * norm) / (det * det * det);
  const ga = straight * a + crossed * d;
  const gb = straight * b - crossed * c;
  const gc = straight * c - crossed * b;
  const gd = straight * d + crossed * a;
  // (x1, y1) and (0, y2) are the gradients of the second and the third hat function.
  gradient[p]! -= ga * x1 + gb * (y1 + y2);
  gradient[p + 1]! -= gc * x1 + gd * (y1 + y2);
  gradient[q]! += ga * x1 + gb * y1;
  gradient[q + 1]! += gc * x1 + gd * y1;
  gradient[r]! += gb * y2;
  gradient[r + 1]! += gd * y2;
  jacobian[0] = a;
  jacobian[1] = b;
  jacobian[2] = c;
  jacobian[3] = d;
}

/** Adds one triangle's gradient, and its Hessian to the element's dense lower triangle (row major, full rows). */
function addTriangle(
  rest: RestTriangles,
  slots: Int32Array,
  signs: Float64Array,
  uvs: Float64Array,
  t: number,
  isNewton: boolean,
  dense: Float64Array,
  width: number,
  gradient: Float64Array,
): void {
  addGradient(rest, uvs, t, gradient);
  const o = 3 * t;
  const x1 = rest.inverses[o]!;
  const y1 = rest.inverses[o + 1]!;
  const y2 = rest.inverses[o + 2]!;
  const write = isNewton ? writeNewton : writeReweighted;
  write(jacobian[0]!, jacobian[1]!, jacobian[2]!, jacobian[3]!, rest.weights[t]!);
  const haa = hessian[0]!;
  const hab = hessian[1]!;
  const hac = hessian[2]!;
  const had = hessian[3]!;
  const hbb = hessian[4]!;
  const hbc = hessian[5]!;
  const hbd = hessian[6]!;
  const hcc = hessian[7]!;
  const hcd = hessian[8]!;
  const hdd = hessian[9]!;
  // Blocks of the second and third corner; as the hats add up to 1, every row of blocks adds up to 0.
  const xx = x1 * x1;
  const xy = x1 * y1;
  const yy = y1 * y1;
  const uu11 = xx * haa + 2 * xy * hab + yy * hbb;
  const uv11 = xx * hac + xy * (had + hbc) + yy * hbd;
  const vv11 = xx * hcc + 2 * xy * hcd + yy * hdd;
  const uu12 = y2 * (x1 * hab + y1 * hbb);
  const uv12 = y2 * (x1 * had + y1 * hbd);
  const vu12 = y2 * (x1 * hbc + y1 * hbd);
  const vv12 = y2 * (x1 * hcd + y1 * hdd);
  const uu22 = y2 * y2 * hbb;
  const uv22 = y2 * y2 * hbd;
  const vv22 = y2 * y2 * hdd;
  const s0 = 2 * slots[o]!;
  const s1 = 2 * slots[o + 1]!;
  const s2 = 2 * slots[o + 2]!;
  const g0 = signs[rest.triangleVertices[o]!]!;
  const g1 = signs[rest.triangleVertices[o + 1]!]!;
  const g2 = signs[rest.triangleVertices[o + 2]!]!;
  addOwn(dense, width, s1, uu11, g1 * uv11, vv11);
  addOwn(dense, width, s2, uu22, g2 * uv22, vv22);
  addPair(dense, width, s1, s2, g1 * g2 * uu12, g1 * uv12, g2 * vu12, vv12);
  const uu10 = -uu11 - uu12;
  const uv10 = -uv11 - uv12;
  const vu10 = -uv11 - vu12;
  const vv10 = -vv11 - vv12;
  const uu20 = -uu12 - uu22;
  const uv20 = -vu12 - uv22;
  const vu20 = -uv12 - uv22;
  const vv20 = -vv12 - vv22;
  addPair(dense, width, s1, s0, g1 * g0 * uu10, g1 * uv10, g0 * vu10, vv10);
  addPair(dense, width, s2, s0, g2 * g0 * uu20, g2 * uv20, g0 * vu20, vv20);
  addOwn(dense, width, s0, -uu10 - uu20, g0 * (-vu10 - vu20), -vv10 - vv20);
}

/** Adds a block on the diagonal, of which the lower triangle counts. */
function addOwn(dense: Float64Array, width: number, s: number, uu: number, uv: number, vv: number): void {
  const at = s * width + s;
  dense[at]! += uu;
  dense[at + width]! += uv;
  dense[at + width + 1]! += vv;
}

/**
 * Adds a block of two corners at the rows of `si` and the columns of `sj`, or its transpose where that lies in the
 * lower triangle; both where the corners are one folded vertex.
 */
function addPair(
  dense: Float64Array,
  width: number,
  si: number,
  sj: number,
  uu: number,
  uv: number,
  vu: number,
  vv: number,
): void {
  if (si === sj) {
    addOwn(dense, width, si, 2 * uu, uv + vu, 2 * vv);
    return;
  }
  const isLower = si > sj;
  const at = isLower ? si * width + sj : sj * width + si;
  dense[at]! += uu;
  dense[at + 1]! += isLower ? uv : vu;
  dense[at + width]! += isLower ? vu : uv;
  dense[at + width + 1]! += vv;
}

/** Adds its transpose to a 2 × 2 block. */
function addTransposed(block: Float64Array): void {
  const mixed = block[1]! + block[2]!;
  block[0]! *= 2;
  block[1] = mixed;
  block[2] = mixed;
  block[3]! *= 2;
}
