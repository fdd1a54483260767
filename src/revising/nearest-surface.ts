import type { FaceTriangles } from '../fields/index.js';
import { triangulateFaces } from '../fields/index.js';
import type { Mesh } from '../mesh/index.js';

/** A point of a mesh's surface. */
export interface SurfacePoint {
  readonly triangle: number;
  readonly face: number;
  /** Weights of the triangle's three vertices, each in 0..1. */
  readonly weights: readonly [number, number, number];
  readonly distance: number;
}

/** Triangles in a leaf of the tree. */
const LEAF_SIZE = 6;

/** Finds the point of a mesh's surface nearest to a position, by a tree of boxes split at their middles. */
export class NearestSurface {
  readonly triangles: FaceTriangles;
  readonly #mesh: Mesh;
  /** Triangles in tree order. */
  readonly #order: Int32Array;
  /** Per node: lowest and highest xyz. */
  readonly #boxes: number[] = [];
  /** Per node: first and last + 1 of its triangles, and the node after its left child, or -1 at a leaf. */
  readonly #nodes: number[] = [];

  constructor(mesh: Mesh) {
    this.#mesh = mesh;
    this.triangles = triangulateFaces(mesh);
    const count = this.triangles.triangleFaces.length;
    this.#order = Int32Array.from({ length: count }, (_, t) => t);
    if (count > 0) this.#build(0, count);
  }

  #corner(triangle: number, corner: number): number {
    return 3 * this.#mesh.vertexPoints[this.triangles.triangleVertices[3 * triangle + corner]!]!;
  }

  #build(first: number, end: number): number {
    const node = this.#nodes.length / 3;
    this.#nodes.push(first, end, -1);
    const box = [Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity];
    const { points } = this.#mesh;
    for (let k = first; k < end; k++) {
      for (let c = 0; c < 3; c++) {
        const p = this.#corner(this.#order[k]!, c);
        for (let d = 0; d < 3; d++) {
          box[d] = Math.min(box[d]!, points[p + d]!);
          box[d + 3] = Math.max(box[d + 3]!, points[p + d]!);
        }
      }
    }
    this.#boxes.push(...box);
    if (end - first <= LEAF_SIZE) return node;
    let axis = 0;
    for (let d = 1; d < 3; d++) if (box[d + 3]! - box[d]! > box[axis + 3]! - box[axis]!) axis = d;
    const middle = (t: number) => {
      let sum = 0;
      for (let c = 0; c < 3; c++) sum += points[this.#corner(t, c) + axis]!;
      return sum;
    };
    this.#order.subarray(first, end).sort((a, b) => middle(a) - middle(b) || a - b);
    const half = (first + end) >> 1;
    this.#build(first, half);
    this.#nodes[3 * node + 2] = this.#build(half, end);
    return node;
  }

  /**
   * The nearest point within `limit` on faces that `accept` lets through; ties go to the lowest face.
   * Undefined when there is none.
   */
  find(
    x: number,
    y: number,
    z: number,
    limit = Infinity,
    accept?: (face: number) => boolean,
  ): SurfacePoint | undefined {
    if (this.#nodes.length === 0) return undefined;
    let least = limit * limit;
    let best: SurfacePoint | undefined;
    const stack = [0];
    while (stack.length > 0) {
      const node = stack.pop()!;
      if (this.#boxDistance(node, x, y, z) > least) continue;
      const right = this.#nodes[3 * node + 2]!;
      if (right >= 0) {
        const isLeftNearer = this.#boxDistance(node + 1, x, y, z) <= this.#boxDistance(right, x, y, z);
        stack.push(isLeftNearer ? right : node + 1, isLeftNearer ? node + 1 : right);
        continue;
      }
      for (let k = this.#nodes[3 * node]!; k < this.#nodes[3 * node + 1]!; k++) {
        const triangle = this.#order[k]!;
        const face = this.triangles.triangleFaces[triangle]!;
        if (accept && !accept(face)) continue;
        const weights = this.closestWeights(triangle, x, y, z);
        const squared = this.#squaredDistance(triangle, weights, x, y, z);
        if (squared < least || (squared === least && (!best || face < best.face))) {
          least = squared;
          best = { triangle, face, weights, distance: Math.sqrt(squared) };
        }
      }
    }
    return best;
  }

  #boxDistance(node: number, x: number, y: number, z: number): number {
    const b = 6 * node;
    const dx = Math.max(this.#boxes[b]! - x, 0, x - this.#boxes[b + 3]!);
    const dy = Math.max(this.#boxes[b + 1]! - y, 0, y - this.#boxes[b + 4]!);
    const dz = Math.max(this.#boxes[b + 2]! - z, 0, z - this.#boxes[b + 5]!);
    return dx * dx + dy * dy + dz * dz;
  }

  #squaredDistance(triangle: number, weights: readonly number[], x: number, y: number, z: number): number {
    const { points } = this.#mesh;
    let px = -x;
    let py = -y;
    let pz = -z;
    for (let c = 0; c < 3; c++) {
      const p = this.#corner(triangle, c);
      px += weights[c]! * points[p]!;
      py += weights[c]! * points[p + 1]!;
      pz += weights[c]! * points[p + 2]!;
    }
    return px * px + py * py + pz * pz;
  }

  /** Weights of the point of a triangle nearest to a position (Ericson 2005, section 5.1.5). */
  closestWeights(triangle: number, x: number, y: number, z: number): [number, number, number] {
    const { points } = this.#mesh;
    const a = this.#corner(triangle, 0);
    const b = this.#corner(triangle, 1);
    const c = this.#corner(triangle, 2);
    const dotFrom = (from: number, to: number, base: number) => {
      const ex = points[to]! - points[from]!;
      const ey = points[to + 1]! - points[from + 1]!;
      const ez = points[to + 2]! - points[from + 2]!;
      return ex * (x - points[base]!) + ey * (y - points[base + 1]!) + ez * (z - points[base + 2]!);
    };
    const d1 = dotFrom(a, b, a);
    const d2 = dotFrom(a, c, a);
    if (d1 <= 0 && d2 <= 0) return [1, 0, 0];
    const d3 = dotFrom(a, b, b);
    const d4 = dotFrom(a, c, b);
    if (d3 >= 0 && d4 <= d3) return [0, 1, 0];
    const vc = d1 * d4 - d3 * d2;
    if (vc <= 0 && d1 >= 0 && d3 <= 0) {
      const t = d1 / (d1 - d3 || 1);
      return [1 - t, t, 0];
    }
    const d5 = dotFrom(a, b, c);
    const d6 = dotFrom(a, c, c);
    if (d6 >= 0 && d5 <= d6) return [0, 0, 1];
    const vb = d5 * d2 - d1 * d6;
    if (vb <= 0 && d2 >= 0 && d6 <= 0) {
      const t = d2 / (d2 - d6 || 1);
      return [1 - t, 0, t];
    }
    const va = d3 * d6 - d5 * d4;
    if (va <= 0 && d4 - d3 >= 0 && d5 - d6 >= 0) {
      const t = (d4 - d3) / (d4 - d3 + (d5 - d6) || 1);
      return [0, 1 - t, t];
    }
    const sum = va + vb + vc;
    return [va / sum, vb / sum, vc / sum];
  }
}
