import { InvalidOptionError } from '../errors.js';
import type { EdgeId, PointId } from './ids.js';
import type { Mesh } from './mesh.js';
import { headVertex, tailVertex } from './traverse.js';

/** Anything that names seams by the caller's point indices. */
export interface SeamEdges {
  readonly edges: readonly (readonly [PointId, PointId])[];
}

/** Finds edges by the points of their ends, any of the welded ones. */
export class EdgeFinder {
  readonly #edges = new Map<number, EdgeId[]>();
  readonly #representatives: Int32Array;
  readonly #pointCount: number;

  constructor(mesh: Mesh) {
    this.#pointCount = mesh.pointCount;
    this.#representatives = weldedRepresentatives(mesh);
    for (let e = 0; e < mesh.edgeCount; e++) {
      const h = mesh.edgeHalfEdges[e]!;
      const key = this.#key(mesh.vertexPoints[tailVertex(mesh, h)]!, mesh.vertexPoints[headVertex(mesh, h)]!);
      const list = this.#edges.get(key);
      if (list) list.push(e);
      else this.#edges.set(key, [e]);
    }
  }

  /** Edges between two points: none, one, or several where the surface is non-manifold. */
  find(a: PointId, b: PointId): readonly EdgeId[] {
    return this.#edges.get(this.#key(a, b)) ?? [];
  }

  #key(a: PointId, b: PointId): number {
    const p = this.#representatives[a] ?? -1;
    const q = this.#representatives[b] ?? -1;
    return Math.min(p, q) * this.#pointCount + Math.max(p, q);
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
