/** An undirected network: arcs of node i are `arcOffsets[i] .. arcOffsets[i + 1] - 1`, and every arc has a sister back. */
export interface FlowNetwork {
  readonly nodeCount: number;
  readonly arcOffsets: Int32Array;
  readonly arcHeads: Int32Array;
  /** The same edge from its other end. */
  readonly arcSisters: Int32Array;
  /** Whole numbers ≥ 0, so that the sums are exact. */
  readonly arcCapacities: Float64Array;
}

/**
 * The sources' side of the cheapest set of edges whose removal parts them from the sinks, 1 per node of it. Of several
 * such sides the least: it is unique, so the order of nodes, arcs and work does not matter.
 *
 * Flow is pushed along shortest ways until none is left, all of one length at a time (Dinic 1970, "Algorithm for
 * solution of a problem of maximum flow in networks with power estimation").
 *
 * @param sources - none of them a sink
 */
export function computeMinCut(
  network: FlowNetwork,
  sources: ArrayLike<number>,
  sinks: ArrayLike<number>,
): Uint8Array {
  const residuals = network.arcCapacities.slice();
  const isSink = new Uint8Array(network.nodeCount);
  for (let i = 0; i < sinks.length; i++) isSink[sinks[i]!] = 1;
  for (;;) {
    const levels = countSteps(network, residuals, sources);
    if (pushShortest(network, residuals, levels, sources, isSink) === 0)
      return Uint8Array.from(levels, (level) => Number(level >= 0));
  }
}

/** Arcs with capacity left on the shortest way from the sources, -1 where there is none. */
function countSteps(
  { nodeCount, arcOffsets, arcHeads }: FlowNetwork,
  residuals: Float64Array,
  sources: ArrayLike<number>,
): Int32Array {
  const levels = new Int32Array(nodeCount).fill(-1);
  const queue = Array.from(sources);
  for (const source of queue) levels[source] = 0;
  for (const node of queue) {
    for (let a = arcOffsets[node]!; a < arcOffsets[node + 1]!; a++) {
      const next = arcHeads[a]!;
      if (levels[next]! >= 0 || residuals[a]! <= 0) continue;
      levels[next] = levels[node]! + 1;
      queue.push(next);
    }
  }
  return levels;
}

/** Pushes flow along arcs that lead one level on until every way to a sink is full. Returns the flow. */
function pushShortest(
  { arcOffsets, arcHeads, arcSisters }: FlowNetwork,
  residuals: Float64Array,
  levels: Int32Array,
  sources: ArrayLike<number>,
  isSink: Uint8Array,
): number {
  // Arcs before these lead to no sink any more.
  const cursors = arcOffsets.slice();
  const path: number[] = [];
  const push = (): number => {
    const amount = path.reduce((least, a) => Math.min(least, residuals[a]!), Infinity);
    for (const a of path) {
      residuals[a]! -= amount;
      residuals[arcSisters[a]!]! += amount;
    }
    return amount;
  };
  let flow = 0;
  for (let i = 0; i < sources.length; i++) {
    for (let node = sources[i]!; ; ) {
      if (isSink[node]) {
        flow += push();
        const full = path.findIndex((a) => residuals[a] === 0);
        node = arcHeads[arcSisters[path[full]!]!]!;
        path.length = full;
      }
      const arc = cursors[node]!;
      if (arc === arcOffsets[node + 1]) {
        const back = path.pop();
        if (back === undefined) break;
        node = arcHeads[arcSisters[back]!]!;
        cursors[node]!++;
      } else if (residuals[arc]! > 0 && levels[arcHeads[arc]!] === levels[node]! + 1) {
        path.push(arc);
        node = arcHeads[arc]!;
      } else {
        cursors[node]!++;
      }
    }
  }
  return flow;
}
