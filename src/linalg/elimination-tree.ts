import type { Adjacency } from './adjacency.js';

/**
 * Parent of every column in the elimination tree of a matrix whose columns are eliminated in `order`,
 * both in elimination numbering; -1 at a root.
 *
 * Near linear in the entries. Reference: Liu, "The role of elimination trees in sparse factorization",
 * SIAM J. Matrix Anal. Appl. 11(1), 1990, section 5.
 */
export function buildEliminationTree(graph: Adjacency, order: Int32Array, ranks: Int32Array): Int32Array {
  const { size, offsets, neighbours } = graph;
  const parents = new Int32Array(size).fill(-1);
  const ancestors = new Int32Array(size).fill(-1);
  for (let k = 0; k < size; k++) {
    const node = order[k]!;
    for (let p = offsets[node]!; p < offsets[node + 1]!; p++) {
      // Climb to the root of the subtree found so far, pointing every node on the way to k.
      let i = ranks[neighbours[p]!]!;
      while (i >= 0 && i < k) {
        const up = ancestors[i]!;
        ancestors[i] = k;
        if (up < 0) parents[i] = k;
        i = up;
      }
    }
  }
  return parents;
}

/** The nodes of a forest with every child before its parent and every subtree in one run; children in ascending order. */
export function postorder(parents: Int32Array): Int32Array {
  const size = parents.length;
  const firstChild = new Int32Array(size).fill(-1);
  const nextSibling = new Int32Array(size).fill(-1);
  for (let i = size - 1; i >= 0; i--) {
    const parent = parents[i]!;
    if (parent < 0) continue;
    nextSibling[i] = firstChild[parent]!;
    firstChild[parent] = i;
  }
  const order = new Int32Array(size);
  const path = new Int32Array(size);
  let count = 0;
  for (let root = 0; root < size; root++) {
    if (parents[root]! >= 0) continue;
    let depth = 0;
    path[0] = root;
    while (depth >= 0) {
      const node = path[depth]!;
      const child = firstChild[node]!;
      if (child < 0) {
        order[count++] = node;
        depth--;
      } else {
        firstChild[node] = nextSibling[child]!;
        path[++depth] = child;
      }
    }
  }
  return order;
}

/** The inverse of a permutation. */
export function invertPermutation(order: Int32Array): Int32Array {
  const ranks = new Int32Array(order.length);
  for (let k = 0; k < order.length; k++) ranks[order[k]!] = k;
  return ranks;
}
