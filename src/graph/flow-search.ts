import type { EdgeId, VertexId } from '../mesh/index.js';
import { IndexedHeap } from '../structures/index.js';
import type { Spokes } from './spokes.js';
import { turnAngle } from './spokes.js';

/** A chain of edges between two vertices. */
export interface EdgePath {
  readonly edges: EdgeId[];
  /** Visited vertices, one more than edges. */
  readonly vertices: VertexId[];
  readonly cost: number;
}

export interface FlowSearchQuery {
  readonly sources: Iterable<VertexId>;
  readonly isTarget: (v: VertexId) => boolean;
  /** Vertices the path may not enter; targets and sources are exempt. */
  readonly isBlocked?: (v: VertexId) => boolean;
  readonly isEdgeBlocked?: (e: EdgeId) => boolean;
  readonly maxCost?: number;
}

/**
 * Cheapest paths whose cost counts turning: the state of the search is a directed edge, so going straight
 * on through a vertex costs nothing extra and a zig-zag pays at each corner. Reusable for many queries.
 */
export class FlowSearch {
  readonly #spokes: Spokes;
  readonly #edgeCosts: Float64Array;
  readonly #turnWeight: number;
  readonly #distances: Float64Array;
  readonly #previous: Int32Array;
  readonly #heap: IndexedHeap;
  readonly #touched: Int32Array;
  #touchedCount = 0;
  /** Round in which each spoke was last settled. */
  readonly #settled: Int32Array;
  #round = 0;

  /**
   * @param edgeCosts - cost of each edge; Infinity blocks it
   * @param turnWeight - cost of a right-angled turn, as a share of the costs of the two edges that meet
   */
  constructor(spokes: Spokes, edgeCosts: Float64Array, turnWeight = 4) {
    const count = spokes.edges.length;
    this.#spokes = spokes;
    this.#edgeCosts = edgeCosts;
    this.#turnWeight = turnWeight;
    this.#distances = new Float64Array(count).fill(Infinity);
    this.#previous = new Int32Array(count).fill(-1);
    this.#heap = new IndexedHeap(count);
    this.#touched = new Int32Array(count);
    this.#settled = new Int32Array(count);
  }

  /** The cheapest path from any source to the first target, or undefined when none is within reach. */
  find(query: FlowSearchQuery): EdgePath | undefined {
    this.#heap.clear();
    for (let i = 0; i < this.#touchedCount; i++) this.#distances[this.#touched[i]!] = Infinity;
    this.#touchedCount = 0;
    return this.findNext(query);
  }

  /**
   * The same from these sources and all that were given since the last `find`, which costs only what they change. What
   * was blocked must have stayed so; what was not may be now if it is a source.
   */
  findNext(query: FlowSearchQuery): EdgePath | undefined {
    const { offsets, edges, heads } = this.#spokes;
    const costs = this.#edgeCosts;
    const distances = this.#distances;
    const settled = this.#settled;
    const heap = this.#heap;
    const round = ++this.#round;
    const relax = (spoke: number, distance: number, from: number) => {
      if (distance >= distances[spoke]!) return;
      if (distances[spoke] === Infinity) this.#touched[this.#touchedCount++] = spoke;
      distances[spoke] = distance;
      this.#previous[spoke] = from;
      heap.pushOrDecrease(spoke, distance);
    };
    const isOpen = (spoke: number) => {
      const head = heads[spoke]!;
      const edge = edges[spoke]!;
      if (costs[edge] === Infinity || query.isEdgeBlocked?.(edge)) return false;
      return query.isTarget(head) || !query.isBlocked?.(head);
    };
    for (const source of query.sources) {
      for (let s = offsets[source]!; s < offsets[source + 1]!; s++)
        if (isOpen(s)) relax(s, costs[edges[s]!]!, -1);
    }
    for (let s = heap.pop(); s >= 0; s = heap.pop()) {
      const head = heads[s]!;
      if (distances[s]! > (query.maxCost ?? Infinity)) break;
      settled[s] = round;
      if (query.isTarget(head)) return this.#trace(s);
      if (query.isBlocked?.(head)) continue;
      for (let t = offsets[head]!; t < offsets[head + 1]!; t++) {
        if (t === this.#spokes.opposites[s] || settled[t] === round || !isOpen(t)) continue;
        const step = costs[edges[t]!]!;
        const turn = turnAngle(this.#spokes, s, t) / (Math.PI / 2);
        relax(t, distances[s]! + step + this.#turnWeight * 0.5 * (step + costs[edges[s]!]!) * turn * turn, s);
      }
    }
    return undefined;
  }

  /** Follows a path back, leaving out the rings by which it would spare a sharp turn. */
  #trace(last: number): EdgePath {
    const { edges, heads, opposites } = this.#spokes;
    const spokes: number[] = [];
    for (let s = last; s >= 0; s = this.#previous[s]!) spokes.push(s);
    spokes.reverse();
    const start = heads[opposites[spokes[0]!]!]!;
    const lastVisits = new Map([start, ...spokes.map((s) => heads[s]!)].map((v, i) => [v, i]));
    const kept: number[] = [];
    for (let i = lastVisits.get(start)!; i < spokes.length; i = lastVisits.get(heads[spokes[i]!]!)!)
      kept.push(spokes[i]!);
    return {
      edges: kept.map((s) => edges[s]!),
      vertices: [start, ...kept.map((s) => heads[s]!)],
      cost: this.#distances[last]!,
    };
  }
}
