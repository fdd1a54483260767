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
  /** What is reached, nearest first. */
  readonly order: readonly VertexId[];
}

/**
 * Cheapest ways along edges from the nearest of the sources to all vertices (Dijkstra).
 *
 * @param edgeCosts - per edge, ≥ 0; Infinity blocks
 * @param reach - what is farther is left out, but may have a distance that is not its least
 */
export function growDistances(
  mesh: Mesh,
  sources: ArrayLike<VertexId>,
  edgeCosts: Float64Array,
  reach = Infinity,
): GrownDistances {
  const { offsets, edges, others } = buildVertexAdjacency(mesh);
  const distances = new Float64Array(mesh.vertexCount).fill(Infinity);
  const parentEdges = new Int32Array(mesh.vertexCount).fill(-1);
  const parentVertices = new Int32Array(mesh.vertexCount).fill(-1);
  const heap = new IndexedHeap(mesh.vertexCount);
  for (let i = 0; i < sources.length; i++) {
    distances[sources[i]!] = 0;
    heap.pushOrDecrease(sources[i]!, 0);
  }
  const order: VertexId[] = [];
  for (let v = heap.pop(); v >= 0 && distances[v]! <= reach; v = heap.pop()) {
    order.push(v);
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
  return { distances, parentEdges, parentVertices, order };
}
