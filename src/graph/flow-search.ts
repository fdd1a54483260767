import { InvalidOptionError } from '../errors.js';
import type { EdgeId, Mesh, VertexId } from '../mesh/index.js';
import { IndexedHeap } from '../structures/index.js';
import type { ArcId, TurnTable } from './turn-angles.js';
import { buildTurnTable } from './turn-angles.js';
import type { VertexPath } from './vertex-path.js';
import { checkEdgeCosts } from './vertex-path.js';

export interface FlowCosts {
  /** Cost per edge, ≥ 0; Infinity blocks. */
  readonly edgeCosts: Float64Array;
  /**
   * Cost of a right-angled turn, in the unit of the edge costs, ≥ 0; other turns cost it by the square of the
   * angle. Straight on is free.
   */
  readonly turnCost: number;
  /** Edges that may not be used: 1 per edge. */
  readonly blockedEdges?: Uint8Array;
  /** Vertices that may not be passed through, except as source or target: 1 per vertex. */
  readonly blockedVertices?: Uint8Array;
}

export interface FlowPathOptions extends FlowCosts {
  readonly sources: ArrayLike<VertexId>;
  readonly targets: ArrayLike<VertexId>;
  /** Table of the mesh from buildTurnTable, to spare building it for every query. */
  readonly table?: TurnTable;
}

/**
 * Cheapest path along edges that prefers to go straight on: through a valence-4 vertex of quads it follows the
 * edge loop, elsewhere the smaller turn is cheaper. The state of the search is the directed edge.
 *
 * @returns undefined when no way leads there; a single vertex when a source is a target
 * @throws OPTION_INVALID
 */
export function findFlowPath(mesh: Mesh, options: FlowPathOptions): VertexPath | undefined {
  checkFlowCosts('findFlowPath', mesh, options);
  const table = options.table ?? buildTurnTable(mesh);
  const { offsets, arcs, arcHeads } = table;
  const isTarget = new Uint8Array(mesh.vertexCount);
  for (let i = 0; i < options.targets.length; i++) isTarget[options.targets[i]!] = 1;
  const search = new ArcSearch(table, options, 2 * mesh.edgeCount);
  for (let i = 0; i < options.sources.length; i++) {
    const v = options.sources[i]!;
    if (isTarget[v]) return { vertices: Int32Array.of(v), edges: new Int32Array(0), cost: 0 };
    for (let k = offsets[v]!; k < offsets[v + 1]!; k++) search.start(arcs[k]!);
  }
  for (let arc = search.next(); arc >= 0; arc = search.next()) {
    const head = arcHeads[arc]!;
    if (isTarget[head]) return search.trace(arc);
    if (!options.blockedVertices?.[head]) search.expand(arc);
  }
  return undefined;
}

/** Dijkstra over directed edges with turning costs. */
export class ArcSearch {
  readonly #table: TurnTable;
  readonly #costs: FlowCosts;
  readonly #turnScale: number;
  readonly #distances: Float64Array;
  readonly #parents: Int32Array;
  readonly #heap: IndexedHeap;

  constructor(table: TurnTable, costs: FlowCosts, arcCount: number) {
    this.#table = table;
    this.#costs = costs;
    this.#turnScale = costs.turnCost / (Math.PI / 2) ** 2;
    this.#distances = new Float64Array(arcCount).fill(Infinity);
    this.#parents = new Int32Array(arcCount).fill(-1);
    this.#heap = new IndexedHeap(arcCount);
  }

  start(arc: ArcId): void {
    this.#reach(arc, 0, -1);
  }

  #reach(arc: ArcId, base: number, parent: ArcId | -1): void {
    if (this.#costs.blockedEdges?.[arc >> 1]) return;
    const distance = base + this.#costs.edgeCosts[arc >> 1]!;
    if (!(distance < this.#distances[arc]!)) return;
    this.#distances[arc] = distance;
    this.#parents[arc] = parent;
    this.#heap.pushOrDecrease(arc, distance);
  }

  /** The settled arc of least cost, or -1. */
  next(): ArcId | -1 {
    return this.#heap.pop();
  }

  expand(arc: ArcId): void {
    const { offsets, arcs, arcHeads, arcBearings, isBorder } = this.#table;
    const v = arcHeads[arc]!;
    const base = this.#distances[arc]!;
    const back = arcBearings[arc ^ 1]!;
    for (let k = offsets[v]!; k < offsets[v + 1]!; k++) {
      const out = arcs[k]!;
      if (out === (arc ^ 1)) continue;
      let turn = Math.abs(Math.PI - Math.abs(back - arcBearings[out]!));
      if (isBorder[v] && turn > Math.PI) turn = Math.PI;
      this.#reach(out, base + this.#turnScale * turn * turn, arc);
    }
  }

  trace(end: ArcId): VertexPath {
    const { arcHeads, arcTails } = this.#table;
    const vertices: VertexId[] = [arcHeads[end]!];
    const edges: EdgeId[] = [];
    for (let arc = end; arc >= 0; arc = this.#parents[arc]!) {
      edges.push(arc >> 1);
      vertices.push(arcTails[arc]!);
    }
    return {
      vertices: Int32Array.from(vertices.reverse()),
      edges: Int32Array.from(edges.reverse()),
      cost: this.#distances[end]!,
    };
  }
}

export function checkFlowCosts(caller: string, mesh: Mesh, costs: FlowCosts): void {
  checkEdgeCosts(caller, mesh, costs.edgeCosts);
  if (!(costs.turnCost >= 0 && costs.turnCost < Infinity)) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `${caller}: turnCost not usable, got ${costs.turnCost}, expected a finite number ≥ 0`,
    );
  }
}

/** Cost of a chain of edges as the search counts it; a closed chain also turns from its last edge into its first. */
export function measureFlowCost(
  mesh: Mesh,
  vertices: ArrayLike<VertexId>,
  edges: ArrayLike<EdgeId>,
  costs: FlowCosts,
  table: TurnTable = buildTurnTable(mesh),
): number {
  const scale = costs.turnCost / (Math.PI / 2) ** 2;
  const { arcTails, arcBearings, isBorder } = table;
  const arcAt = (i: number) => 2 * edges[i]! + (arcTails[2 * edges[i]!] === vertices[i] ? 0 : 1);
  const isClosed = edges.length > 0 && vertices[0] === vertices[edges.length];
  let cost = 0;
  for (let i = 0; i < edges.length; i++) {
    cost += costs.edgeCosts[edges[i]!]!;
    if (i + 1 === edges.length && !isClosed) break;
    const out = arcAt((i + 1) % edges.length);
    let turn = Math.abs(Math.PI - Math.abs(arcBearings[arcAt(i) ^ 1]! - arcBearings[out]!));
    if (isBorder[arcTails[out]!] && turn > Math.PI) turn = Math.PI;
    cost += scale * turn * turn;
  }
  return cost;
}
