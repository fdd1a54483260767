import type { FaceId, Mesh } from '../mesh/index.js';
import { IndexedHeap } from '../structures/index.js';
import type { FlowCosts } from './flow-search.js';
import { checkFlowCosts, measureFlowCost } from './flow-search.js';
import { findSeparatingLoop } from './separating-loop.js';
import type { ArcId, TurnTable } from './turn-angles.js';
import { buildTurnTable } from './turn-angles.js';
import type { VertexPath } from './vertex-path.js';

export interface FlowCycleOptions extends FlowCosts {
  /** Faces on one side of the loop. */
  readonly insideFaces: ArrayLike<FaceId>;
  /** Faces on the other side. */
  readonly outsideFaces: ArrayLike<FaceId>;
  /** Table of the mesh from buildTurnTable, to spare building it for every query. */
  readonly table?: TurnTable;
}

/** Times the loop may run to and fro over the guide line: windings −1, 0 and 1 are followed. */
const LAYERS = 3;

/**
 * Cheapest closed loop of edges, turning costs included, that winds once round between the inside and the
 * outside faces: a collar round a branch that keeps to an edge loop where there is one.
 *
 * A guide line of faces leads from the inside to the outside. The search starts on every edge of the guide in
 * turn and asks for the cheapest way back to it that has crossed the guide once more in one direction than in the
 * other; where the band between the two sides is a ring, that is the loop once round it. The loop of
 * findSeparatingLoop is the first bound.
 *
 * @returns the loop with its first vertex repeated at the end, or undefined when there is none
 * @throws OPTION_INVALID
 *
 * O(g b log b) for a guide of g faces and a band of b edges; bounded by the best loop so far.
 */
export function findFlowCycle(mesh: Mesh, options: FlowCycleOptions): VertexPath | undefined {
  checkFlowCosts('findFlowCycle', mesh, options);
  const table = options.table ?? buildTurnTable(mesh);
  const faceSides = new Int8Array(mesh.faceCount);
  for (let i = 0; i < options.insideFaces.length; i++) faceSides[options.insideFaces[i]!] = 1;
  for (let i = 0; i < options.outsideFaces.length; i++) faceSides[options.outsideFaces[i]!] = -1;
  const guide = findGuide(mesh, faceSides);
  if (!guide) return undefined;
  const arcSteps = new Int8Array(2 * mesh.edgeCount);
  for (const arc of guide) {
    arcSteps[arc] = 1;
    arcSteps[arc ^ 1] = -1;
  }
  const isBlocked = Uint8Array.from(options.blockedEdges ?? new Uint8Array(mesh.edgeCount));
  for (let e = 0; e < mesh.edgeCount; e++) if (isBeyond(mesh, faceSides, e)) isBlocked[e] = 1;
  const search = new CycleSearch(table, options, arcSteps, isBlocked);
  const first = cutLoop(mesh, options, table);
  let best = first;
  for (const arc of guide) {
    if (isBlocked[arc >> 1]) continue;
    const found = search.run(arc, best?.cost ?? Infinity);
    if (found && (!best || found.cost < best.cost)) best = found;
    // Loops over this edge have been seen.
    isBlocked[arc >> 1] = 1;
  }
  return best;
}

/** Whether the edge lies wholly on one side's faces. */
function isBeyond(mesh: Mesh, faceSides: Int8Array, e: number): boolean {
  const h = mesh.edgeHalfEdges[e]!;
  const t = mesh.twin[h]!;
  const side = faceSides[mesh.cornerFaces[h]!]!;
  return side !== 0 && t >= 0 && faceSides[mesh.cornerFaces[t]!] === side;
}

/** Arcs crossed by the line of fewest faces from the inside to the outside, each with the inside on its left. */
function findGuide(mesh: Mesh, faceSides: Int8Array): ArcId[] | undefined {
  const entries = new Int32Array(mesh.faceCount).fill(-1);
  const isSeen = new Uint8Array(mesh.faceCount);
  let ring: FaceId[] = [];
  for (let f = 0; f < mesh.faceCount; f++) {
    if (faceSides[f] !== 1) continue;
    isSeen[f] = 1;
    ring.push(f);
  }
  while (ring.length > 0) {
    const outer: FaceId[] = [];
    for (const f of ring)
      for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++) {
        const t = mesh.twin[h]!;
        if (t < 0 || isSeen[mesh.cornerFaces[t]!]) continue;
        const g = mesh.cornerFaces[t]!;
        isSeen[g] = 1;
        entries[g] = h;
        if (faceSides[g] === -1) return traceGuide(mesh, entries, g);
        outer.push(g);
      }
    ring = outer;
  }
  return undefined;
}

function traceGuide(mesh: Mesh, entries: Int32Array, end: FaceId): ArcId[] {
  const arcs: ArcId[] = [];
  for (let f = end; entries[f]! >= 0; ) {
    const h = entries[f]!;
    const e = mesh.halfEdgeEdges[h]!;
    arcs.push(2 * e + (mesh.edgeHalfEdges[e] === h ? 0 : 1));
    f = mesh.cornerFaces[h]!;
  }
  return arcs;
}

/** The min-cut loop as a first bound, when it is one closed chain. */
function cutLoop(mesh: Mesh, options: FlowCycleOptions, table: TurnTable): VertexPath | undefined {
  const costs = options.edgeCosts.map((c) => (c < Infinity ? c : 0));
  const blockedEdges = Uint8Array.from({ length: mesh.edgeCount }, (_, e) =>
    options.blockedEdges?.[e] || options.edgeCosts[e] === Infinity ? 1 : 0,
  );
  const loop = findSeparatingLoop(mesh, options.insideFaces, options.outsideFaces, costs, { blockedEdges });
  const chain = loop?.chains.length === 1 ? loop.chains[0]! : undefined;
  if (!chain?.isClosed) return undefined;
  const { halfEdges } = chain;
  const vertices = Int32Array.from([...halfEdges, halfEdges[0]!], (h) => mesh.cornerVertices[h]!);
  if (options.blockedVertices && vertices.some((v) => options.blockedVertices![v])) return undefined;
  const edges = halfEdges.map((h) => mesh.halfEdgeEdges[h]!);
  return { vertices, edges, cost: measureFlowCost(mesh, vertices, edges, options, table) };
}

/** Search over (arc, winding) for the way from an arc back to itself with one more winding. */
class CycleSearch {
  readonly #table: TurnTable;
  readonly #options: FlowCosts;
  readonly #steps: Int8Array;
  readonly #isBlocked: Uint8Array;
  readonly #distances: Float64Array;
  readonly #parents: Int32Array;
  readonly #heap: IndexedHeap;
  readonly #touched: number[] = [];

  constructor(table: TurnTable, options: FlowCosts, steps: Int8Array, isBlocked: Uint8Array) {
    this.#table = table;
    this.#options = options;
    this.#steps = steps;
    this.#isBlocked = isBlocked;
    const states = LAYERS * steps.length;
    this.#distances = new Float64Array(states).fill(Infinity);
    this.#parents = new Int32Array(states).fill(-1);
    this.#heap = new IndexedHeap(states);
  }

  run(start: ArcId, bound: number): VertexPath | undefined {
    const { offsets, arcs, arcHeads, arcBearings, isBorder } = this.#table;
    const { edgeCosts, turnCost, blockedVertices } = this.#options;
    const scale = turnCost / (Math.PI / 2) ** 2;
    // Layer 1 is winding 0. The start's own cost is counted when the loop comes back to it.
    const from = LAYERS * start + 1;
    const goal = LAYERS * start + 2;
    this.#reach(from, 0, -1);
    let found: VertexPath | undefined;
    for (let state = this.#heap.pop(); state >= 0; state = this.#heap.pop()) {
      const base = this.#distances[state]!;
      if (base >= bound) break;
      if (state === goal) {
        found = this.#trace(goal, base);
        break;
      }
      const arc = Math.floor(state / LAYERS);
      const layer = state % LAYERS;
      const v = arcHeads[arc]!;
      if (blockedVertices?.[v]) continue;
      const back = arcBearings[arc ^ 1]!;
      for (let k = offsets[v]!; k < offsets[v + 1]!; k++) {
        const out = arcs[k]!;
        if (out === (arc ^ 1) || this.#isBlocked[out >> 1]) continue;
        const nextLayer = layer + this.#steps[out]!;
        if (nextLayer < 0 || nextLayer >= LAYERS) continue;
        let turn = Math.abs(Math.PI - Math.abs(back - arcBearings[out]!));
        if (isBorder[v] && turn > Math.PI) turn = Math.PI;
        const distance = base + scale * turn * turn + edgeCosts[out >> 1]!;
        if (distance < bound) this.#reach(LAYERS * out + nextLayer, distance, state);
      }
    }
    this.#heap.clear();
    for (const state of this.#touched) {
      this.#distances[state] = Infinity;
      this.#parents[state] = -1;
    }
    this.#touched.length = 0;
    return found;
  }

  #reach(state: number, distance: number, parent: number): void {
    if (!(distance < this.#distances[state]!)) return;
    if (this.#distances[state] === Infinity) this.#touched.push(state);
    this.#distances[state] = distance;
    this.#parents[state] = parent;
    this.#heap.pushOrDecrease(state, distance);
  }

  #trace(goal: number, cost: number): VertexPath {
    const { arcHeads } = this.#table;
    const arcs: ArcId[] = [];
    for (let state = goal; this.#parents[state]! >= 0; state = this.#parents[state]!)
      arcs.push(Math.floor(state / LAYERS));
    arcs.reverse();
    const heads = arcs.map((arc) => arcHeads[arc]!);
    return {
      vertices: Int32Array.from([heads[heads.length - 1]!, ...heads]),
      edges: Int32Array.from(arcs, (arc) => arc >> 1),
      cost,
    };
  }
}
