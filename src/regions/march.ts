import { IndexedHeap } from '../structures/index.js';
import type { TriangleSurface } from './triangle-surface.js';

export interface MarchOptions {
  /** Stop beyond this distance (model units); vertices further off stay Infinity. */
  readonly limit?: number;
  /** Vertices that may be entered: non-zero entries. */
  readonly isOpen?: Uint8Array;
  /** Starting distance of each source; 0 where absent. */
  readonly offsets?: ArrayLike<number>;
}

/**
 * Distances along the surface from a set of vertices, by fast marching on the triangles
 * (Kimmel & Sethian 1998; a wave that cannot pass a triangle goes along its edges instead).
 * Vertices out of reach are Infinity. O(n log n).
 */
export class Marcher {
  readonly #surface: TriangleSurface;
  readonly #heap: IndexedHeap;
  readonly #isFixed: Uint8Array;

  constructor(surface: TriangleSurface) {
    this.#surface = surface;
    this.#heap = new IndexedHeap(surface.vertexCount);
    this.#isFixed = new Uint8Array(surface.vertexCount);
  }

  run(sources: ArrayLike<number>, options: MarchOptions = {}): Float64Array {
    const { vertexCount, triangles, triangleOffsets, triangleList, positions } = this.#surface;
    const distances = new Float64Array(vertexCount).fill(Infinity);
    const heap = this.#heap;
    const isFixed = this.#isFixed.fill(0);
    const limit = options.limit ?? Infinity;
    const isOpen = options.isOpen;
    heap.clear();
    for (let i = 0; i < sources.length; i++) {
      const v = sources[i]!;
      const start = options.offsets ? options.offsets[i]! : 0;
      if (start < distances[v]!) {
        distances[v] = start;
        heap.pushOrDecrease(v, start);
      }
    }
    let here = 0;
    /** Offers vertex `w` the distance by way of `v`, and through the triangle with `other` where that is settled. */
    const relax = (v: number, w: number, other: number): void => {
      const vx = positions[3 * v]! - positions[3 * w]!;
      const vy = positions[3 * v + 1]! - positions[3 * w + 1]!;
      const vz = positions[3 * v + 2]! - positions[3 * w + 2]!;
      const vv = vx * vx + vy * vy + vz * vz;
      let value = here + Math.sqrt(vv);
      if (isFixed[other]) {
        // Planar wave through the triangle: find T with |gradient| = 1 from the two known corners.
        const ox = positions[3 * other]! - positions[3 * w]!;
        const oy = positions[3 * other + 1]! - positions[3 * w + 1]!;
        const oz = positions[3 * other + 2]! - positions[3 * w + 2]!;
        const oo = ox * ox + oy * oy + oz * oz;
        const vo = vx * ox + vy * oy + vz * oz;
        const determinant = vv * oo - vo * vo;
        const u = distances[other]!;
        if (determinant > 1e-12 * vv * oo) {
          const a = oo - 2 * vo + vv;
          const b = here * (vo - oo) + u * (vo - vv);
          const c = here * here * oo - 2 * here * u * vo + u * u * vv - determinant;
          const root = b * b - a * c;
          if (root >= 0) {
            const t = (-b + Math.sqrt(root)) / a;
            // The wave must come from inside the triangle: both weights of the gradient non-negative.
            const first = (t - here) * oo - (t - u) * vo;
            const second = (t - u) * vv - (t - here) * vo;
            if (t >= here && t >= u && first >= 0 && second >= 0 && t < value) value = t;
          }
        }
      }
      if (value < distances[w]!) {
        distances[w] = value;
        heap.pushOrDecrease(w, value);
      }
    };
    for (;;) {
      const v = heap.pop();
      if (v < 0) break;
      isFixed[v] = 1;
      here = distances[v]!;
      if (here > limit) {
        distances[v] = Infinity;
        for (let w = heap.pop(); w >= 0; w = heap.pop()) distances[w] = Infinity;
        break;
      }
      for (let i = triangleOffsets[v]!; i < triangleOffsets[v + 1]!; i++) {
        const t = 3 * triangleList[i]!;
        const a = triangles[t]!;
        const b = triangles[t + 1]!;
        const c = triangles[t + 2]!;
        const p = a === v ? b : a;
        const q = c === v ? b : c;
        if (!isFixed[p] && (!isOpen || isOpen[p])) relax(v, p, q);
        if (!isFixed[q] && (!isOpen || isOpen[q])) relax(v, q, p);
      }
    }
    return distances;
  }
}
