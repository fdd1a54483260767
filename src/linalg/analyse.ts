import { NumericalError } from '../errors.js';
import type { Adjacency } from './adjacency.js';
import { buildAdjacency, groupAdjacency, listMembers } from './adjacency.js';
import { countColumns } from './count-columns.js';
import { buildEliminationTree, invertPermutation, postorder } from './elimination-tree.js';
import type { SupernodeForest } from './find-supernodes.js';
import { findSupernodes } from './find-supernodes.js';
import { orderByMinimumDegree } from './order-minimum-degree.js';
import { orderByNestedDissection } from './order-nested-dissection.js';
import type { SupernodeLayout } from './supernode-layout.js';
import { layOutSupernodes, locateEntries } from './supernode-layout.js';
import type { SymmetricMatrix } from './symmetric-matrix.js';

export interface AnalyseOptions {
  /**
   * Group of each unknown (0..groupCount-1), such as the vertex that owns a u and a v. The graph of groups
   * is ordered in place of that of unknowns: faster, and no worse where members share their neighbours.
   * @defaultValue every unknown by itself
   */
  readonly groups?: Int32Array;
  /**
   * How the unknowns are ordered. Nested dissection takes longer to order and pays on large patterns that are
   * factored several times.
   * @defaultValue 'minimum-degree'
   */
  readonly ordering?: 'minimum-degree' | 'nested-dissection';
}

/** The part of a factorisation that depends on the pattern only; reusable for any values. */
export interface SymbolicFactor {
  readonly size: number;
  /** Unknown eliminated at each step. */
  readonly order: Int32Array;
  readonly layout: SupernodeLayout;
  /** Value of the factor that each entry of the matrix is written to. */
  readonly entryTargets: Int32Array;
  /** The matrix's first entry of each column: the diagonal. */
  readonly diagonalEntries: Int32Array;
  /** Nonzeros of the factor with the diagonal, without the zeros that blocks store. */
  readonly factorEntryCount: number;
}

/**
 * Orders the unknowns so that the factor stays sparse and lays the factor out in dense blocks.
 *
 * @param matrix - its values are not looked at
 * @throws OPTION_INVALID when `groups` has another length than the matrix
 *
 * Near linear in the entries of matrix and factor's pattern.
 */
export function analyse(
  matrix: Pick<SymmetricMatrix, 'size' | 'columnOffsets' | 'entryRows'>,
  options: AnalyseOptions = {},
): SymbolicFactor {
  const { size } = matrix;
  const graph = buildAdjacency(matrix);
  const fillOrder = orderUnknowns(graph, options);
  const tree = buildPostorderedTree(graph, fillOrder);
  const counts = countColumns(graph, tree.order, tree.ranks, tree.parents);
  const forest = findSupernodes(tree.parents, counts);
  const { order, supernodes } = gatherColumns(tree.order, forest);
  const ranks = invertPermutation(order);
  const layout = layOutSupernodes(graph, order, ranks, supernodes);
  let factorEntryCount = 0;
  for (const count of counts) factorEntryCount += count;
  return {
    size,
    order,
    layout,
    entryTargets: locateEntries(matrix, ranks, layout),
    diagonalEntries: matrix.columnOffsets.slice(0, size),
    factorEntryCount,
  };
}

function orderUnknowns(graph: Adjacency, { groups, ordering }: AnalyseOptions): Int32Array {
  const orderGraph = ordering === 'nested-dissection' ? orderByNestedDissection : orderByMinimumDegree;
  if (!groups) return orderGraph(graph);
  if (groups.length !== graph.size) {
    throw new NumericalError(
      'OPTION_INVALID',
      `analyse: groups has the wrong length, got ${groups.length}, expected ${graph.size}`,
    );
  }
  let groupCount = 0;
  for (const g of groups) groupCount = Math.max(groupCount, g + 1);
  const { starts, members } = listMembers(groups, groupCount);
  const weights = new Int32Array(groupCount);
  for (let g = 0; g < groupCount; g++) weights[g] = Math.max(1, starts[g + 1]! - starts[g]!);
  const order = new Int32Array(graph.size);
  let count = 0;
  for (const g of orderGraph(groupAdjacency(graph, groups, groupCount), weights))
    for (let m = starts[g]!; m < starts[g + 1]!; m++) order[count++] = members[m]!;
  return order;
}

interface OrderedTree {
  readonly order: Int32Array;
  readonly ranks: Int32Array;
  readonly parents: Int32Array;
}

/** Renumbers a fill-reducing order so that every subtree of the elimination tree is one run; the fill stays the same. */
function buildPostorderedTree(graph: Adjacency, fillOrder: Int32Array): OrderedTree {
  const fillParents = buildEliminationTree(graph, fillOrder, invertPermutation(fillOrder));
  const post = postorder(fillParents);
  const postRanks = invertPermutation(post);
  const order = new Int32Array(graph.size);
  const parents = new Int32Array(graph.size);
  for (let k = 0; k < graph.size; k++) {
    order[k] = fillOrder[post[k]!]!;
    const parent = fillParents[post[k]!]!;
    parents[k] = parent < 0 ? -1 : postRanks[parent]!;
  }
  return { order, ranks: invertPermutation(order), parents };
}

/** Puts the columns of every supernode next to one another. */
function gatherColumns(
  treeOrder: Int32Array,
  forest: SupernodeForest,
): { order: Int32Array; supernodes: SupernodeForest } {
  const { starts, members } = listMembers(forest.columnSupernodes, forest.count);
  const columnSupernodes = new Int32Array(treeOrder.length);
  for (let s = 0; s < forest.count; s++) columnSupernodes.fill(s, starts[s]!, starts[s + 1]!);
  return {
    order: members.map((column) => treeOrder[column]!),
    supernodes: { ...forest, columnSupernodes },
  };
}
