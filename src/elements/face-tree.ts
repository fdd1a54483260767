import type { Mesh } from '../mesh/index.js';

/** Faces halved again and again. Every node is a stretch of surface; children come before their parents, the root last. */
export interface FaceTree {
  readonly nodeCount: number;
  /** The two nodes that each consists of, -1 for a leaf. */
  readonly children: readonly Int32Array[];
  /** Faces of the leaves, side by side; those of leaf i are `faces[starts[i]] .. faces[ends[i] - 1]`. */
  readonly faces: Int32Array;
  readonly starts: Int32Array;
  readonly ends: Int32Array;
}

/** Faces of a leaf, at most. */
const LEAF_SIZE = 16;
/** No part has a smaller share of the faces. */
const LEAST_SHARE = 0.3;
/** Steps of a coordinate that are told apart. */
const STEPS = 2 ** 20;

/**
 * Halves faces along planes across the axes, each time where fewest sides are cut for how even the halves are. What
 * is left between two parts of a body are loops round limbs, and strips of these once seams run along.
 *
 * Near linear in the faces. Rejected: halves of exactly one size (twice the work of elimination on a body), planes
 * across the longest axis (three times), and halves by number of steps from a far face (five times).
 */
export function splitFaces(mesh: Mesh, faces: Int32Array): FaceTree {
  return new FaceSplitter(mesh, faces).split();
}

class FaceSplitter {
  readonly #mesh: Mesh;
  /** The faces in the order of each coordinate; every node has the same run in all three. */
  readonly #orders: readonly Int32Array[];
  /** First place of the run that each face is in, -1 for none. */
  readonly #runs: Int32Array;
  readonly #isBefore: Uint8Array;
  readonly #children: readonly [number[], number[]] = [[], []];
  readonly #starts: number[] = [];
  readonly #ends: number[] = [];

  constructor(mesh: Mesh, faces: Int32Array) {
    this.#mesh = mesh;
    this.#orders = [0, 1, 2].map((axis) => sortFaces(mesh, faces, axis));
    this.#runs = new Int32Array(mesh.faceCount).fill(-1);
    this.#isBefore = new Uint8Array(mesh.faceCount);
    for (const f of faces) this.#runs[f] = 0;
  }

  split(): FaceTree {
    this.#splitRun(0, this.#orders[0]!.length);
    return {
      nodeCount: this.#starts.length,
      children: this.#children.map((nodes) => Int32Array.from(nodes)),
      faces: this.#orders[0]!,
      starts: Int32Array.from(this.#starts),
      ends: Int32Array.from(this.#ends),
    };
  }

  #splitRun(from: number, to: number): number {
    let left = -1;
    let right = -1;
    if (to - from > LEAF_SIZE) {
      const middle = this.#divide(from, to);
      left = this.#splitRun(from, middle);
      right = this.#splitRun(middle, to);
    }
    this.#children[0].push(left);
    this.#children[1].push(right);
    this.#starts.push(from);
    this.#ends.push(to);
    return this.#starts.length - 1;
  }

  /** Finds the best plane and puts what lies before it first. */
  #divide(from: number, to: number): number {
    let best = { cost: Infinity, order: this.#orders[0]!, middle: from };
    for (const order of this.#orders) {
      const found = this.#findCut(order, from, to);
      if (found.cost < best.cost) best = { ...found, order };
    }
    const { middle } = best;
    for (let i = from; i < middle; i++) this.#isBefore[best.order[i]!] = 1;
    for (const order of this.#orders) {
      const run = order.slice(from, to);
      let before = from;
      let after = middle;
      for (const f of run) order[this.#isBefore[f] ? before++ : after++] = f;
    }
    for (let i = from; i < middle; i++) this.#isBefore[this.#orders[0]![i]!] = 0;
    for (let i = middle; i < to; i++) this.#runs[this.#orders[0]![i]!] = middle;
    return middle;
  }

  #findCut(order: Int32Array, from: number, to: number): { cost: number; middle: number } {
    const { faceOffsets, twin, cornerFaces } = this.#mesh;
    const count = to - from;
    const best = { cost: Infinity, middle: from };
    let sides = 0;
    for (let i = from; i < to; i++) {
      const share = (i - from) / count;
      const cost = sides * (1 + Math.abs(share - 0.5));
      if (share >= LEAST_SHARE && share <= 1 - LEAST_SHARE && cost < best.cost) {
        best.cost = cost;
        best.middle = i;
      }
      const f = order[i]!;
      this.#isBefore[f] = 1;
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++) {
        const g = twin[h]! < 0 ? -1 : cornerFaces[twin[h]!]!;
        if (g >= 0 && this.#runs[g] === from) sides += this.#isBefore[g] ? -1 : 1;
      }
    }
    for (let i = from; i < to; i++) this.#isBefore[order[i]!] = 0;
    return best;
  }
}

/** By a coordinate of their middles, of equal ones the lower face first. */
function sortFaces(mesh: Mesh, faces: Int32Array, axis: number): Int32Array {
  const { faceOffsets, cornerPoints, points } = mesh;
  const middles = Float64Array.from(faces, (f) => {
    let sum = 0;
    for (let c = faceOffsets[f]!; c < faceOffsets[f + 1]!; c++) sum += points[3 * cornerPoints[c]! + axis]!;
    return sum / (faceOffsets[f + 1]! - faceOffsets[f]!);
  });
  let least = Infinity;
  let most = -Infinity;
  for (const x of middles) {
    least = Math.min(least, x);
    most = Math.max(most, x);
  }
  const step = (most - least) / STEPS || 1;
  const keys = middles.map((x, i) => Math.round((x - least) / step) * faces.length + i).sort();
  return Int32Array.from(keys, (key) => faces[key % faces.length]!);
}
