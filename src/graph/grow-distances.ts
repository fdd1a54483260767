import { InvalidOptionError } from '../errors.js';
import type { Mesh, VertexId } from '../mesh/index.js';
import { buildVertexAdjacency } from '../mesh/index.js';
import { IndexedHeap } from '../structures/index.js';

/** A forest of cheapest ways from the sources. */
export interface GrownDistances {
  /** Cost from the nearest source; Infinity where none leads. */
  readonly distances: Float64Array;
  /** Edge towards the source, -1 at sources and where none leads. */
  readonly parentEdges: Int32Array;
  readonly parentVertices: Int32Array;
}

/**
 * Cheapest ways along edges from the nearest of the sources to all vertices (Dijkstra).
 *
 * @param edgeCosts - per edge, ≥ 0; Infinity blocks
 * @throws OPTION_INVALID when edgeCosts has the wrong length or a cost below 0
 */
export function growDistances(
  mesh: Mesh,
  sources: ArrayLike<VertexId>,
  edgeCosts: Float64Array,
): GrownDistances {
  checkEdgeCosts(mesh, edgeCosts);
  const { offsets, edges, others } = buildVertexAdjacency(mesh);
  const distances = new Float64Array(mesh.vertexCount).fill(Infinity);
  const parentEdges = new Int32Array(mesh.vertexCount).fill(-1);
  const parentVertices = new Int32Array(mesh.vertexCount).fill(-1);
  const heap = new IndexedHeap(mesh.vertexCount);
  for (let i = 0; i < sources.length; i++) {
    distances[sources[i]!] = 0;
    heap.pushOrDecrease(sources[i]!, 0);
  }
  for (let v = heap.pop(); v >= 0; v = heap.pop()) {
    for (let i = offsets[v]!; i < offsets[v + 1]!; i++) {
      const w = others[i]!;
      const distance = distances[v]! + edgeCosts[edges[i]!]!;
      if (!(distance < distances[w]!)) continue;
      distances[w] = distance;
      parentEdges[w] = edges[i]!;
      parentVertices[w] = v;
      heap.pushOrDecrease(w, distance);
    }
  }
  return { distances, parentEdges, parentVertices };
}

/** Throws when the costs do not fit the mesh or one is below 0 or not a number. */
function checkEdgeCosts(mesh: Mesh, edgeCosts: Float64Array): void {
  if (edgeCosts.length !== mesh.edgeCount) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `growDistances: edgeCosts has ${edgeCosts.length} entries, expected ${mesh.edgeCount}`,
    );
  }
  const bad = edgeCosts.findIndex((cost) => !(cost >= 0));
  if (bad >= 0)
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `growDistances: cost of edge ${bad} not usable, got ${edgeCosts[bad]}, expected a number ≥ 0`,
      { edge: bad },
    );
}
