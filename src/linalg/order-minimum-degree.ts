import type { Adjacency } from './adjacency.js';
import { QuotientGraph } from './quotient-graph.js';

/**
 * Orders the nodes of a graph so that elimination in that order fills in little: approximate minimum
 * degree on a quotient graph, with element absorption, mass elimination and merging of variables that
 * cannot be told apart.
 *
 * @param graph - without loops
 * @param weights - unknowns that each node stands for, at least 1
 * @returns nodes in elimination order
 *
 * Reference: Amestoy, Davis & Duff, "An approximate minimum degree ordering algorithm", SIAM J. Matrix
 * Anal. Appl. 17(4), 1996. Nodes of very many neighbours go last, as in the authors' later notes.
 */
export function orderByMinimumDegree(graph: Adjacency, weights?: Int32Array): Int32Array {
  return new QuotientGraph(graph, weights).eliminateAll();
}
