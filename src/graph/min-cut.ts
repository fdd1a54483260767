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

export interface MinCut {
  /** Capacity of the cut edges together, which is the greatest flow. */
  readonly value: number;
  /** 1 for the least set of nodes on the sources' side; the same whatever the order of nodes and arcs. */
  readonly isInner: Uint8Array;
  /** 1 for the greatest set of nodes on the sources' side. */
  readonly isOuter: Uint8Array;
}

const FREE = 0;
const SOURCE = 1;
const SINK = 2;
const ROOT = -2;
const NONE = -1;

/**
 * Cheapest set of edges whose removal parts the sources from the sinks.
 *
 * Two search trees grow from both sides and are mended after each augmentation (Boykov & Kolmogorov 2004, "An
 * experimental comparison of min-cut/max-flow algorithms for energy minimization in vision"), which on the
 * dual graph of a surface needs few passes. There may be several cheapest cuts; the least and the greatest
 * are unique, so they do not depend on the order of work.
 */
export function computeMinCut(
  network: FlowNetwork,
  sources: ArrayLike<number>,
  sinks: ArrayLike<number>,
): MinCut {
  const solver = new TreeFlow(network, sources, sinks);
  const value = solver.run();
  return {
    value,
    isInner: reachable(network, solver.residuals, sources, true),
    isOuter: reachable(network, solver.residuals, sinks, false).map((seen) => 1 - seen),
  };
}

/** Nodes that can be reached from (or can reach) the seeds along arcs with capacity left. */
function reachable(
  { nodeCount, arcOffsets, arcHeads, arcSisters }: FlowNetwork,
  residuals: Float64Array,
  seeds: ArrayLike<number>,
  isForward: boolean,
): Uint8Array {
  const isSeen = new Uint8Array(nodeCount);
  const stack = Array.from(seeds);
  for (const seed of stack) isSeen[seed] = 1;
  for (let i = stack.pop(); i !== undefined; i = stack.pop()) {
    for (let a = arcOffsets[i]!; a < arcOffsets[i + 1]!; a++) {
      const j = arcHeads[a]!;
      if (isSeen[j] || residuals[isForward ? a : arcSisters[a]!]! <= 0) continue;
      isSeen[j] = 1;
      stack.push(j);
    }
  }
  return isSeen;
}

class TreeFlow {
  /** Capacity left on each arc. */
  readonly residuals: Float64Array;
  readonly #offsets: Int32Array;
  readonly #heads: Int32Array;
  readonly #sisters: Int32Array;
  readonly #trees: Uint8Array;
  /** Arc from each node to its parent, ROOT at sources and sinks, NONE for orphans and free nodes. */
  readonly #parents: Int32Array;
  /** Length of the way to the root when it was last walked, and the round when that was. */
  readonly #depths: Int32Array;
  readonly #stamps: Int32Array;
  readonly #active: number[] = [];
  readonly #isActive: Uint8Array;
  readonly #orphans: number[] = [];
  #round = 1;

  constructor(network: FlowNetwork, sources: ArrayLike<number>, sinks: ArrayLike<number>) {
    const { nodeCount } = network;
    this.residuals = network.arcCapacities.slice();
    this.#offsets = network.arcOffsets;
    this.#heads = network.arcHeads;
    this.#sisters = network.arcSisters;
    this.#trees = new Uint8Array(nodeCount);
    this.#parents = new Int32Array(nodeCount).fill(NONE);
    this.#depths = new Int32Array(nodeCount);
    this.#stamps = new Int32Array(nodeCount);
    this.#isActive = new Uint8Array(nodeCount);
    for (let i = 0; i < sources.length; i++) this.#plant(sources[i]!, SOURCE);
    for (let i = 0; i < sinks.length; i++) this.#plant(sinks[i]!, SINK);
  }

  #plant(node: number, tree: number): void {
    this.#trees[node] = tree;
    this.#parents[node] = ROOT;
    this.#activate(node);
  }

  #activate(node: number): void {
    if (this.#isActive[node]) return;
    this.#isActive[node] = 1;
    this.#active.push(node);
  }

  run(): number {
    let flow = 0;
    for (let head = 0; head < this.#active.length; head++) {
      const node = this.#active[head]!;
      this.#isActive[node] = 0;
      // The node stays in work as long as paths are found through it.
      for (let middle = this.#grow(node); middle >= 0; middle = this.#grow(node)) {
        this.#round++;
        flow += this.#augment(middle);
        this.#adopt();
      }
      if (head > 65536) {
        this.#active.splice(0, head + 1);
        head = -1;
      }
    }
    return flow;
  }

  /** Grows the node's tree by its neighbours; returns an arc from the source tree to the sink tree, or -1. */
  #grow(node: number): number {
    const tree = this.#trees[node]!;
    if (tree === FREE) return -1;
    for (let a = this.#offsets[node]!; a < this.#offsets[node + 1]!; a++) {
      const sister = this.#sisters[a]!;
      if (this.residuals[tree === SOURCE ? a : sister]! <= 0) continue;
      const other = this.#heads[a]!;
      const otherTree = this.#trees[other]!;
      if (otherTree === FREE) {
        this.#trees[other] = tree;
        this.#parents[other] = sister;
        this.#depths[other] = this.#depths[node]! + 1;
        this.#stamps[other] = this.#stamps[node]!;
        this.#activate(other);
      } else if (otherTree !== tree) {
        return tree === SOURCE ? a : sister;
      } else if (
        this.#parents[other]! >= 0 &&
        this.#stamps[other]! <= this.#stamps[node]! &&
        this.#depths[other]! > this.#depths[node]! + 1
      ) {
        // A shorter way to the root keeps later paths short.
        this.#parents[other] = sister;
        this.#depths[other] = this.#depths[node]! + 1;
        this.#stamps[other] = this.#stamps[node]!;
      }
    }
    return -1;
  }

  #augment(middle: number): number {
    const { residuals } = this;
    const sourceEnd = this.#heads[this.#sisters[middle]!]!;
    const sinkEnd = this.#heads[middle]!;
    let amount = residuals[middle]!;
    for (let i = sourceEnd; this.#parents[i] !== ROOT; i = this.#heads[this.#parents[i]!]!)
      amount = Math.min(amount, residuals[this.#sisters[this.#parents[i]!]!]!);
    for (let i = sinkEnd; this.#parents[i] !== ROOT; i = this.#heads[this.#parents[i]!]!)
      amount = Math.min(amount, residuals[this.#parents[i]!]!);
    this.#push(middle, amount);
    this.#pushToRoot(sourceEnd, amount, true);
    this.#pushToRoot(sinkEnd, amount, false);
    return amount;
  }

  #push(arc: number, amount: number): void {
    this.residuals[arc]! -= amount;
    this.residuals[this.#sisters[arc]!]! += amount;
  }

  #pushToRoot(start: number, amount: number, isSource: boolean): void {
    for (let i = start; this.#parents[i] !== ROOT; ) {
      const parentArc = this.#parents[i]!;
      const arc = isSource ? this.#sisters[parentArc]! : parentArc;
      this.#push(arc, amount);
      const up = this.#heads[parentArc]!;
      if (this.residuals[arc]! <= 0) {
        this.#parents[i] = NONE;
        this.#orphans.push(i);
      }
      i = up;
    }
  }

  #adopt(): void {
    for (let node = this.#orphans.pop(); node !== undefined; node = this.#orphans.pop()) {
      const tree = this.#trees[node]!;
      let best = NONE;
      let bestDepth = Infinity;
      for (let a = this.#offsets[node]!; a < this.#offsets[node + 1]!; a++) {
        const other = this.#heads[a]!;
        if (this.#trees[other] !== tree) continue;
        if (this.residuals[tree === SOURCE ? this.#sisters[a]! : a]! <= 0) continue;
        const depth = this.#depthOf(other);
        if (depth < bestDepth) {
          bestDepth = depth;
          best = a;
        }
      }
      this.#parents[node] = best;
      if (best >= 0) {
        this.#depths[node] = bestDepth + 1;
        this.#stamps[node] = this.#round;
        continue;
      }
      this.#trees[node] = FREE;
      for (let a = this.#offsets[node]!; a < this.#offsets[node + 1]!; a++) {
        const other = this.#heads[a]!;
        if (this.#trees[other] !== tree) continue;
        if (this.residuals[tree === SOURCE ? this.#sisters[a]! : a]! > 0) this.#activate(other);
        if (this.#parents[other] === this.#sisters[a]) {
          this.#parents[other] = NONE;
          this.#orphans.push(other);
        }
      }
    }
  }

  /** Steps to the root, or Infinity when the way ends at an orphan; leaves marks so that later walks are short. */
  #depthOf(start: number): number {
    let steps = 0;
    let node = start;
    let base = 0;
    for (;;) {
      if (this.#stamps[node] === this.#round) {
        base = this.#depths[node]!;
        break;
      }
      const parentArc = this.#parents[node]!;
      if (parentArc === NONE) return Infinity;
      if (parentArc === ROOT) {
        this.#stamps[node] = this.#round;
        this.#depths[node] = 0;
        break;
      }
      steps++;
      node = this.#heads[parentArc]!;
    }
    const depth = base + steps;
    let mark = depth;
    for (let i = start; this.#stamps[i] !== this.#round; i = this.#heads[this.#parents[i]!]!) {
      this.#stamps[i] = this.#round;
      this.#depths[i] = mark--;
    }
    return depth;
  }
}
