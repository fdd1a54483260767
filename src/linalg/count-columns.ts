import type { Adjacency } from './adjacency.js';

/**
 * Entries of every column of the factor, with the diagonal, without forming the factor.
 *
 * @param graph - of the matrix
 * @param order - elimination order, a postorder of `parents`
 * @param parents - elimination tree, in elimination numbering
 * @param weights - unknowns that each column stands for, in elimination numbering; a column's count then adds them up
 *
 * Near linear in the entries. Reference: Gilbert, Ng & Peyton, "An efficient algorithm to compute row and
 * column counts for sparse Cholesky factorization", SIAM J. Matrix Anal. Appl. 15(4), 1994.
 */
export function countColumns(
  graph: Adjacency,
  order: Int32Array,
  ranks: Int32Array,
  parents: Int32Array,
  weights: Int32Array,
): Int32Array {
  const { size, offsets, neighbours } = graph;
  const firstDescendants = findFirstDescendants(parents);
  // counts[j] holds the number of rows that enter at j less those that leave, summed over subtrees at the end.
  const counts = new Int32Array(size);
  const lastLeaf = new Int32Array(size).fill(-1);
  const maxFirst = new Int32Array(size).fill(-1);
  const ancestors = new Int32Array(size);
  for (let j = 0; j < size; j++) {
    ancestors[j] = j;
    if (firstDescendants[j] === j) counts[j] = weights[j]!;
  }
  for (let j = 0; j < size; j++) {
    if (parents[j]! >= 0) counts[parents[j]!]! -= weights[j]!;
    const node = order[j]!;
    for (let p = offsets[node]!; p < offsets[node + 1]!; p++) {
      const i = ranks[neighbours[p]!]!;
      // Row i has a leaf of its subtree at j when j's subtree holds no earlier leaf of that row.
      if (i <= j || firstDescendants[j]! <= maxFirst[i]!) continue;
      maxFirst[i] = firstDescendants[j]!;
      counts[j]! += weights[i]!;
      const previous = lastLeaf[i]!;
      if (previous >= 0) counts[findRoot(ancestors, previous)]! -= weights[i]!;
      lastLeaf[i] = j;
    }
    if (parents[j]! >= 0) ancestors[j] = parents[j]!;
  }
  for (let j = 0; j < size; j++) if (parents[j]! >= 0) counts[parents[j]!]! += counts[j]!;
  return counts;
}

/** Lowest number in the subtree of each node of a postordered forest. */
function findFirstDescendants(parents: Int32Array): Int32Array {
  const first = new Int32Array(parents.length).fill(-1);
  for (let k = 0; k < parents.length; k++)
    for (let j = k; j >= 0 && first[j]! < 0; j = parents[j]!) first[j] = k;
  return first;
}

function findRoot(ancestors: Int32Array, node: number): number {
  let root = node;
  while (ancestors[root] !== root) root = ancestors[root]!;
  while (ancestors[node] !== root) {
    const up = ancestors[node]!;
    ancestors[node] = root;
    node = up;
  }
  return root;
}
