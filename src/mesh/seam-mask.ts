import { InvalidOptionError } from '../errors.js';
import { listMembers } from '../structures/index.js';
import type { EdgeId, PointId } from './ids.js';
import type { Mesh } from './mesh.js';

/** Anything that names seams by the caller's point indices. */
export interface SeamEdges {
  readonly edges: readonly (readonly [PointId, PointId])[];
}

/** Finds edges by the points of their ends, any of the welded ones. */
export class EdgeFinder {
  readonly #representatives: Int32Array;
  /** Edges by the lower of their points: those of point p are from offsets[p] to offsets[p + 1] - 1. */
  readonly #offsets: Int32Array;
  readonly #edges: Int32Array;
  /** The higher point of each of `#edges`. */
  readonly #highs: Int32Array;

  constructor(mesh: Mesh) {
    this.#representatives = weldedRepresentatives(mesh);
    const endOf = (h: number) => this.#representatives[mesh.vertexPoints[mesh.cornerVertices[h]!]!]!;
    const ends = (pick: (a: PointId, b: PointId) => PointId) =>
      mesh.edgeHalfEdges.map((h) => pick(endOf(h), endOf(mesh.next[h]!)));
    const highs = ends(Math.max);
    const { starts, members } = listMembers(ends(Math.min), mesh.pointCount);
    this.#offsets = starts;
    this.#edges = members;
    this.#highs = members.map((e) => highs[e]!);
  }

  /** Edges between two points: none, one, or several where the surface is non-manifold. */
  find(a: PointId, b: PointId): readonly EdgeId[] {
    const p = this.#representatives[a] ?? -1;
    const q = this.#representatives[b] ?? -1;
    const found: EdgeId[] = [];
    if (p < 0 || q < 0) return found;
    const [low, high] = p < q ? [p, q] : [q, p];
    for (let i = this.#offsets[low]!; i < this.#offsets[low + 1]!; i++)
      if (this.#highs[i] === high) found.push(this.#edges[i]!);
    return found;
  }
}

/** Lowest point of all vertices that share a point with each point. */
function weldedRepresentatives(mesh: Mesh): Int32Array {
  const representatives = new Int32Array(mesh.pointCount);
  for (let p = 0; p < mesh.pointCount; p++) representatives[p] = p;
  for (let changed = true; changed; ) {
    changed = false;
    const vertexLowest = new Int32Array(mesh.vertexCount).fill(mesh.pointCount);
    for (let c = 0; c < mesh.cornerCount; c++) {
      const v = mesh.cornerVertices[c]!;
      vertexLowest[v] = Math.min(vertexLowest[v]!, representatives[mesh.cornerPoints[c]!]!);
    }
    for (let c = 0; c < mesh.cornerCount; c++) {
      const lowest = vertexLowest[mesh.cornerVertices[c]!]!;
      if (lowest < representatives[mesh.cornerPoints[c]!]!) {
        representatives[mesh.cornerPoints[c]!] = lowest;
        changed = true;
      }
    }
  }
  return representatives;
}

/**
 * Marks the edges that the seams name: 1 per edge of the mesh.
 *
 * @throws HINT_INVALID when a pair of points is not joined by an edge
 */
export function seamMask(mesh: Mesh, seams: readonly SeamEdges[], finder = new EdgeFinder(mesh)): Uint8Array {
  const isSeam = new Uint8Array(mesh.edgeCount);
  for (const seam of seams) {
    for (const [a, b] of seam.edges) {
      const edges = finder.find(a, b);
      if (edges.length === 0) {
        throw new InvalidOptionError(
          'HINT_INVALID',
          `seamMask: no edge joins points ${a} and ${b}, expected two points of one edge`,
          { points: [a, b] },
        );
      }
      for (const e of edges) isSeam[e] = 1;
    }
  }
  return isSeam;
}
