import { borderLengths } from './boundary-first.js';
import { leastPositiveRoot } from './distortion-energy.js';
import type { RestTriangles } from './rest-triangles.js';

/** Reach of the barrier over the mean length of a border side. */
const REACH = 0.2;
/** The reach between two places ends at this share of their distance along the border. */
const ARC_SHARE = 0.3;
/** Pairs within this many reaches are made room for in the matrix, so that it need not change at every step. */
const NEAR = 6;
/** Weight of a pair over the mean weight of a triangle. */
const PAIR_WEIGHT = 0.05;

/**
 * Keeps a border from running into itself: pairs of a border vertex and a border side get the energy
 * (reach / distance − 1)² when closer than the reach (Smith & Schaefer 2015), and steps end before the
 * first contact. Only contact from outside counts, the triangles keep the inside open.
 */
export class BorderBarrier {
  /** Vertex, side start and side end of each active pair. */
  triples = new Int32Array(0);
  readonly #border: Int32Array;
  readonly #arcs: Float64Array;
  readonly #length: number;
  readonly #reach: number;
  readonly #weight: number;
  #reaches = new Float64Array(0);

  constructor(rest: RestTriangles, border: Int32Array) {
    this.#border = border;
    const lengths = borderLengths(rest, border);
    this.#arcs = new Float64Array(border.length + 1);
    for (let i = 0; i < border.length; i++) this.#arcs[i + 1] = this.#arcs[i]! + lengths[i]!;
    this.#length = this.#arcs[border.length]!;
    this.#reach = (REACH * this.#length) / border.length;
    this.#weight = PAIR_WEIGHT / rest.triangleCount;
  }

  /** Finds the pairs closer than twice the reach: the energy is theirs until the next call. */
  activate(uvs: Float64Array): void {
    const { triples, reaches } = this.#findClose(uvs, 2);
    this.triples = triples;
    this.#reaches = reaches;
  }

  /** Vertex, side start and side end of the pairs that may come within reach before long. */
  listNear(uvs: Float64Array): Int32Array {
    return this.#findClose(uvs, NEAR).triples;
  }

  /** Pairs that face one another from outside, closer than `factor` times their reach. */
  #findClose(uvs: Float64Array, factor: number) {
    const triples: number[] = [];
    const reaches: number[] = [];
    const border = this.#border;
    for (const [i, j] of this.#findPairs(uvs, undefined, factor * this.#reach)) {
      const v = border[i]!;
      const a = border[j]!;
      const b = border[(j + 1) % border.length]!;
      const turn =
        (uvs[2 * b]! - uvs[2 * a]!) * (uvs[2 * v + 1]! - uvs[2 * a + 1]!) -
        (uvs[2 * b + 1]! - uvs[2 * a + 1]!) * (uvs[2 * v]! - uvs[2 * a]!);
      if (turn > 0) continue;
      const reach = Math.min(this.#reach, ARC_SHARE * this.#arcDistance(i, j));
      if (measure(uvs, [v, a, b], 0) >= factor * reach) continue;
      triples.push(v, a, b);
      reaches.push(reach);
    }
    return { triples: Int32Array.from(triples), reaches: Float64Array.from(reaches) };
  }

  /** Whether active pair `k` is closer than its reach and so has energy. */
  isPressed(uvs: Float64Array, k: number): boolean {
    return measure(uvs, this.triples, k) < this.#reaches[k]!;
  }

  /** The part of `step` up to the first contact on the way, or all of it. */
  limitStep(uvs: Float64Array, direction: Float64Array, step: number): number {
    let limit = step;
    for (const [i, j] of this.#findPairs(uvs, direction, 0, step)) {
      const contact = this.#contact(uvs, direction, i, j, limit);
      if (contact < limit) limit = contact;
    }
    return limit;
  }

  energy(uvs: Float64Array): number {
    let sum = 0;
    for (let k = 0; k < this.#reaches.length; k++) {
      const distance = measure(uvs, this.triples, k);
      const reach = this.#reaches[k]!;
      if (distance < reach) sum += (reach / distance - 1) ** 2;
    }
    return sum * this.#weight;
  }

  /** Gradient and positive part of the Hessian of active pair `k`, over (vertex, start, end). */
  differentiate(uvs: Float64Array, k: number, gradient: Float64Array, dense: Float64Array): void {
    const distance = measure(uvs, this.triples, k);
    const reach = this.#reaches[k]!;
    gradient.fill(0);
    dense.fill(0);
    if (distance >= reach) return;
    const first = (-2 * this.#weight * (reach / distance - 1) * reach) / (distance * distance);
    const second = (2 * this.#weight * reach * (3 * reach - 2 * distance)) / distance ** 4;
    const s = foot[0]!;
    const x = foot[1]! / distance;
    const y = foot[2]! / distance;
    slope[0] = x;
    slope[1] = y;
    slope[2] = -(1 - s) * x;
    slope[3] = -(1 - s) * y;
    slope[4] = -s * x;
    slope[5] = -s * y;
    for (let i = 0; i < 6; i++) {
      gradient[i] = first * slope[i]!;
      for (let j = 0; j < 6; j++) dense[6 * i + j] = second * slope[i]! * slope[j]!;
    }
  }

  /** Rest length of the border from its vertex `i` to the nearer end of its side `j`. */
  #arcDistance(i: number, j: number): number {
    const forward = (this.#arcs[j]! - this.#arcs[i]! + this.#length) % this.#length;
    const backward = (this.#arcs[i]! - this.#arcs[j + 1]! + this.#length) % this.#length;
    return Math.min(forward, backward);
  }

  /** Vertex and side pairs whose boxes, swept along the step, come within `reach`. */
  #findPairs(
    uvs: Float64Array,
    direction: Float64Array | undefined,
    reach: number,
    step = 0,
  ): [number, number][] {
    const border = this.#border;
    const n = border.length;
    // lowX, highX, lowY, highY of each vertex's path
    const boxes = new Float64Array(4 * n);
    for (let i = 0; i < n; i++) {
      for (let k = 0; k < 2; k++) {
        const x = uvs[2 * border[i]! + k]!;
        const y = direction ? x + step * direction[2 * border[i]! + k]! : x;
        boxes[4 * i + 2 * k] = Math.min(x, y) - reach;
        boxes[4 * i + 2 * k + 1] = Math.max(x, y) + reach;
      }
    }
    const sideLow = new Float64Array(n);
    const sideHigh = new Float64Array(n);
    for (let j = 0; j < n; j++) {
      const k = (j + 1) % n;
      sideLow[j] = Math.min(boxes[4 * j]!, boxes[4 * k]!) + reach;
      sideHigh[j] = Math.max(boxes[4 * j + 1]!, boxes[4 * k + 1]!) - reach;
    }
    const vertexOrder = Array.from({ length: n }, (_, i) => i).sort(
      (a, b) => boxes[4 * a]! - boxes[4 * b]! || a - b,
    );
    const sideOrder = Array.from({ length: n }, (_, i) => i).sort(
      (a, b) => sideLow[a]! - sideLow[b]! || a - b,
    );
    const pairs: [number, number][] = [];
    const check = (i: number, j: number) => {
      const k = (j + 1) % n;
      if (i === j || i === k) return;
      const low = Math.min(boxes[4 * j + 2]!, boxes[4 * k + 2]!) + reach;
      const high = Math.max(boxes[4 * j + 3]!, boxes[4 * k + 3]!) - reach;
      if (boxes[4 * i + 3]! >= low && boxes[4 * i + 2]! <= high) pairs.push([i, j]);
    };
    // Two sweeps along x: sides that begin inside a vertex's span, and vertices that begin inside a side's.
    let next = 0;
    for (const i of vertexOrder) {
      while (next < n && sideLow[sideOrder[next]!]! < boxes[4 * i]!) next++;
      for (let s = next; s < n && sideLow[sideOrder[s]!]! <= boxes[4 * i + 1]!; s++) check(i, sideOrder[s]!);
    }
    next = 0;
    for (const j of sideOrder) {
      while (next < n && boxes[4 * vertexOrder[next]!]! <= sideLow[j]!) next++;
      for (let s = next; s < n && boxes[4 * vertexOrder[s]!]! <= sideHigh[j]!; s++) check(vertexOrder[s]!, j);
    }
    return pairs;
  }

  /** First time before `limit` at which the vertex lies on the side, or Infinity. */
  #contact(uvs: Float64Array, direction: Float64Array, i: number, j: number, limit: number): number {
    const border = this.#border;
    const v = 2 * border[i]!;
    const a = 2 * border[j]!;
    const b = 2 * border[(j + 1) % border.length]!;
    const ax = uvs[b]! - uvs[a]!;
    const ay = uvs[b + 1]! - uvs[a + 1]!;
    const bx = uvs[v]! - uvs[a]!;
    const by = uvs[v + 1]! - uvs[a + 1]!;
    const ux = direction[b]! - direction[a]!;
    const uy = direction[b + 1]! - direction[a + 1]!;
    const wx = direction[v]! - direction[a]!;
    const wy = direction[v + 1]! - direction[a + 1]!;
    let square = ux * wy - uy * wx;
    let linear = ax * wy - ay * wx + ux * by - uy * bx;
    let constant = ax * by - ay * bx;
    if (constant < 0) {
      square = -square;
      linear = -linear;
      constant = -constant;
    }
    let time = leastPositiveRoot(square, linear, constant);
    for (let root = 0; root < 2 && time < limit; root++) {
      const x = ax + time * ux;
      const y = ay + time * uy;
      const along = (bx + time * wx) * x + (by + time * wy) * y;
      const length = x * x + y * y;
      if (along >= -1e-9 * length && along <= (1 + 1e-9) * length) return time;
      // The other root: the product of the two is constant / square.
      const other = constant / (square * time);
      if (!(square > 0) || !(other > time)) break;
      time = other;
    }
    return Infinity;
  }
}

// Parameter of the foot along the side, and the vector from the foot to the vertex.
const foot = new Float64Array(3);
const slope = new Float64Array(6);

/** Distance of a triple's vertex from its side; leaves the foot in `foot`. */
function measure(uvs: Float64Array, triples: ArrayLike<number>, k: number): number {
  const v = 2 * triples[3 * k]!;
  const a = 2 * triples[3 * k + 1]!;
  const b = 2 * triples[3 * k + 2]!;
  const ax = uvs[b]! - uvs[a]!;
  const ay = uvs[b + 1]! - uvs[a + 1]!;
  const bx = uvs[v]! - uvs[a]!;
  const by = uvs[v + 1]! - uvs[a + 1]!;
  const s = Math.min(1, Math.max(0, (ax * bx + ay * by) / (ax * ax + ay * ay)));
  foot[0] = s;
  foot[1] = bx - s * ax;
  foot[2] = by - s * ay;
  return Math.sqrt(foot[1]! * foot[1]! + foot[2]! * foot[2]!);
}
