import { InvalidOptionError } from '../errors.js';
import type { EdgeId, Mesh, VertexAdjacency, VertexId } from '../mesh/index.js';
import { buildVertexAdjacency } from '../mesh/index.js';
import { IndexedHeap } from '../structures/index.js';

export interface VertexPathOptions {
  /** Edges that may not be used: 1 per edge. */
  readonly blockedEdges?: Uint8Array;
  /** Vertices that may not be passed through, except as source or target: 1 per vertex. */
  readonly blockedVertices?: Uint8Array;
  /** From buildVertexAdjacency, to spare building it for every query. */
  readonly adjacency?: VertexAdjacency;
}

export interface GrowOptions extends VertexPathOptions {
  /** @defaultValue Infinity */
  readonly maxDistance?: number;
}

/** A chain of edges; vertices are one more than edges. */
export interface VertexPath {
  readonly vertices: Int32Array;
  readonly edges: Int32Array;
  readonly cost: number;
}

/** A forest of cheapest ways from the sources. */
export interface GrownDistances {
  /** Cost from the nearest source; Infinity where none leads. */
  readonly distances: Float64Array;
  /** Edge towards the source, -1 at sources and where none leads. */
  readonly parentEdges: Int32Array;
  readonly parentVertices: Int32Array;
  /** The source each vertex is reached from, -1 where none leads. */
  readonly roots: Int32Array;
}

/**
 * Cheapest way along edges from any source to any target (Dijkstra).
 *
 * @param edgeCosts - per edge, ≥ 0; Infinity blocks
 * @returns undefined when no way leads there; a single vertex when a source is a target
 * @throws OPTION_INVALID when edgeCosts has the wrong length or a cost below 0
 */
export function findVertexPath(
  mesh: Mesh,
  sources: ArrayLike<VertexId>,
  targets: ArrayLike<VertexId>,
  edgeCosts: Float64Array,
  options: VertexPathOptions = {},
): VertexPath | undefined {
  const isTarget = new Uint8Array(mesh.vertexCount);
  for (let i = 0; i < targets.length; i++) isTarget[targets[i]!] = 1;
  const grown = grow(mesh, sources, edgeCosts, { ...options, maxDistance: Infinity }, isTarget);
  return grown.end < 0 ? undefined : tracePath(grown, grown.end);
}

/** Cheapest ways along edges from the nearest of the sources to all vertices. */
export function growDistances(
  mesh: Mesh,
  sources: ArrayLike<VertexId>,
  edgeCosts: Float64Array,
  options: GrowOptions = {},
): GrownDistances {
  const { distances, parentEdges, parentVertices, roots } = grow(mesh, sources, edgeCosts, options);
  return { distances, parentEdges, parentVertices, roots };
}

/** The way from a source to a vertex in a grown forest. */
export function tracePath(grown: GrownDistances, end: VertexId): VertexPath {
  const vertices: VertexId[] = [end];
  const edges: EdgeId[] = [];
  for (let v = end; grown.parentVertices[v]! >= 0; v = grown.parentVertices[v]!) {
    edges.push(grown.parentEdges[v]!);
    vertices.push(grown.parentVertices[v]!);
  }
  return {
    vertices: Int32Array.from(vertices.reverse()),
    edges: Int32Array.from(edges.reverse()),
    cost: grown.distances[end]!,
  };
}

function grow(
  mesh: Mesh,
  sources: ArrayLike<VertexId>,
  edgeCosts: Float64Array,
  options: GrowOptions,
  isTarget?: Uint8Array,
): GrownDistances & { end: VertexId | -1 } {
  checkEdgeCosts('findVertexPath', mesh, edgeCosts);
  const { blockedEdges, blockedVertices, maxDistance = Infinity } = options;
  const { offsets, edges, others } = options.adjacency ?? buildVertexAdjacency(mesh);
  const distances = new Float64Array(mesh.vertexCount).fill(Infinity);
  const parentEdges = new Int32Array(mesh.vertexCount).fill(-1);
  const parentVertices = new Int32Array(mesh.vertexCount).fill(-1);
  const roots = new Int32Array(mesh.vertexCount).fill(-1);
  const heap = new IndexedHeap(mesh.vertexCount);
  for (let i = 0; i < sources.length; i++) {
    distances[sources[i]!] = 0;
    roots[sources[i]!] = sources[i]!;
    heap.pushOrDecrease(sources[i]!, 0);
  }
  let end = -1;
  for (let v = heap.pop(); v >= 0; v = heap.pop()) {
    if (isTarget?.[v]) {
      end = v;
      break;
    }
    if (blockedVertices?.[v] && parentEdges[v]! >= 0) continue;
    const base = distances[v]!;
    for (let i = offsets[v]!; i < offsets[v + 1]!; i++) {
      const e = edges[i]!;
      if (blockedEdges?.[e]) continue;
      const w = others[i]!;
      const distance = base + edgeCosts[e]!;
      if (!(distance < distances[w]!) || distance > maxDistance) continue;
      distances[w] = distance;
      parentEdges[w] = e;
      parentVertices[w] = v;
      roots[w] = roots[v]!;
      heap.pushOrDecrease(w, distance);
    }
  }
  return { distances, parentEdges, parentVertices, roots, end };
}

/** Throws when the costs do not fit the mesh or one is below 0 or not a number. */
export function checkEdgeCosts(caller: string, mesh: Mesh, edgeCosts: Float64Array): void {
  if (edgeCosts.length !== mesh.edgeCount) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `${caller}: edgeCosts has ${edgeCosts.length} entries, expected ${mesh.edgeCount}`,
    );
  }
  for (let e = 0; e < edgeCosts.length; e++) {
    if (!(edgeCosts[e]! >= 0)) {
      throw new InvalidOptionError(
        'OPTION_INVALID',
        `${caller}: cost of edge ${e} not usable, got ${edgeCosts[e]}, expected a number ≥ 0`,
        { edge: e },
      );
    }
  }
}
