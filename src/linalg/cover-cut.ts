import type { Adjacency } from './adjacency.js';

/**
 * A least set of nodes that touches every edge between the first `low` of the `sorted` nodes and the others:
 * a vertex cover of a bipartite graph, from a largest matching (König 1931).
 *
 * @param parts - part of every node of the graph; only neighbours in `part` count
 */
export function coverCut(
  graph: Adjacency,
  sorted: Int32Array,
  low: number,
  parts: Int32Array,
  part: number,
): Int32Array {
  const cut = listCut(graph, sorted, low, parts, part);
  const { partners, lowPartners } = matchCut(cut);
  return pickCover(cut, partners, lowPartners);
}

interface Cut {
  /** Low nodes on the cut, and the high ones, which are numbered by their place here. */
  readonly lows: Int32Array;
  readonly highs: Int32Array;
  /** High nodes beside low node i: `others[offsets[i]] .. others[offsets[i + 1] - 1]`. */
  readonly offsets: Int32Array;
  readonly others: Int32Array;
}

function listCut(graph: Adjacency, sorted: Int32Array, low: number, parts: Int32Array, part: number): Cut {
  const highNumbers = new Map<number, number>();
  const lows: number[] = [];
  const offsets: number[] = [0];
  const others: number[] = [];
  for (let i = low; i < sorted.length; i++) parts[sorted[i]!] = -2;
  for (let i = 0; i < low; i++) {
    const node = sorted[i]!;
    const before = others.length;
    for (let p = graph.offsets[node]!; p < graph.offsets[node + 1]!; p++) {
      const other = graph.neighbours[p]!;
      if (parts[other] !== -2) continue;
      let number = highNumbers.get(other);
      if (number === undefined) {
        number = highNumbers.size;
        highNumbers.set(other, number);
      }
      others.push(number);
    }
    if (others.length === before) continue;
    lows.push(node);
    offsets.push(others.length);
  }
  for (let i = low; i < sorted.length; i++) parts[sorted[i]!] = part;
  return {
    lows: Int32Array.from(lows),
    highs: Int32Array.from(highNumbers.keys()),
    offsets: Int32Array.from(offsets),
    others: Int32Array.from(others),
  };
}

/** A largest matching by augmenting paths, after a greedy start. Returns the low partner of each high node and back. */
function matchCut(cut: Cut): { partners: Int32Array; lowPartners: Int32Array } {
  const { lows, highs, offsets, others } = cut;
  const partners = new Int32Array(highs.length).fill(-1);
  const lowPartners = new Int32Array(lows.length).fill(-1);
  const visited = new Int32Array(highs.length).fill(-1);
  const path: number[] = [];
  const cursors = offsets.slice(0, lows.length);
  for (let root = 0; root < lows.length; root++) {
    path.length = 0;
    path.push(root);
    cursors[root] = offsets[root]!;
    while (path.length > 0) {
      const i = path[path.length - 1]!;
      if (cursors[i]! === offsets[i + 1]!) {
        path.pop();
        continue;
      }
      const high = others[cursors[i]!++]!;
      if (visited[high] === root) continue;
      visited[high] = root;
      const next = partners[high]!;
      if (next >= 0) {
        path.push(next);
        cursors[next] = offsets[next]!;
        continue;
      }
      // Every low node on the path takes the high node its cursor has just passed.
      for (const node of path) {
        const taken = others[cursors[node]! - 1]!;
        partners[taken] = node;
        lowPartners[node] = taken;
      }
      break;
    }
  }
  return { partners, lowPartners };
}

/** König: low nodes that no alternating path from an unmatched low node reaches, and high nodes that one does. */
function pickCover(cut: Cut, partners: Int32Array, lowPartners: Int32Array): Int32Array {
  const { lows, highs, offsets, others } = cut;
  const isLowReached = new Uint8Array(lows.length);
  const isHighReached = new Uint8Array(highs.length);
  const queue: number[] = [];
  for (let i = 0; i < lows.length; i++) {
    if (lowPartners[i]! >= 0) continue;
    isLowReached[i] = 1;
    queue.push(i);
  }
  for (let head = 0; head < queue.length; head++) {
    const i = queue[head]!;
    for (let p = offsets[i]!; p < offsets[i + 1]!; p++) {
      const high = others[p]!;
      if (isHighReached[high]) continue;
      isHighReached[high] = 1;
      const next = partners[high]!;
      if (next < 0 || isLowReached[next]) continue;
      isLowReached[next] = 1;
      queue.push(next);
    }
  }
  const cover: number[] = [];
  for (let i = 0; i < lows.length; i++) if (!isLowReached[i]) cover.push(lows[i]!);
  for (let i = 0; i < highs.length; i++) if (isHighReached[i]) cover.push(highs[i]!);
  return Int32Array.from(cover);
}
