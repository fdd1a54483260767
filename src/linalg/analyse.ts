import type { GroupMembers } from '../structures/index.js';
import { listMembers } from '../structures/index.js';
import type { Adjacency } from './adjacency.js';
import { buildAdjacency, groupAdjacency } from './adjacency.js';
import { countColumns } from './count-columns.js';
import { buildEliminationTree, invertPermutation, postorder } from './elimination-tree.js';
import { findSupernodes } from './find-supernodes.js';
import { orderByMinimumDegree } from './order-minimum-degree.js';
import type { SupernodeLayout } from './supernode-layout.js';
import { layOutSupernodes, locateEntries } from './supernode-layout.js';
import type { SymmetricMatrix } from './symmetric-matrix.js';

export interface AnalyseOptions {
  /**
   * Group of each unknown (0 or more), such as the vertex that owns a u and a v. Groups are ordered as one:
   * faster, and no worse where members share their neighbours.
   * @defaultValue every unknown by itself
   */
  readonly groups?: Int32Array;
  /**
   * Orders the unknowns, or groups. orderByNestedDissection takes longer and pays on large patterns that are factored
   * several times; nobody carries it who does not name it.
   * @defaultValue orderByMinimumDegree
   */
  readonly ordering?: (graph: Adjacency) => Int32Array;
}

/**
 * Least share of the entries between neighbouring groups that must be there for groups to be analysed as one, too, which
 * is several times faster and stores the absent entries as zeros.
 */
const GROUP_SHARE = 0.8;

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

type Pattern = Pick<SymmetricMatrix, 'size' | 'columnOffsets' | 'entryRows'>;

/**
 * Orders the unknowns so that the factor stays sparse and lays the factor out in dense blocks.
 *
 * @param matrix - its values are not looked at
 *
 * Near linear in the entries of the matrix and the rows of the factor's blocks.
 */
export function analyse(matrix: Pattern, options: AnalyseOptions = {}): SymbolicFactor {
  const nodes = findNodes(matrix, options);
  const tree = buildPostorderedTree(nodes.graph, nodes.fillOrder);
  const weights = tree.order.map((node) => nodes.starts[node + 1]! - nodes.starts[node]!);
  const counts = countColumns(nodes.graph, tree.order, tree.ranks, tree.parents, weights);
  const forest = findSupernodes(tree.parents, counts, weights);
  // The columns of every supernode lie next to one another.
  const columns = listMembers(forest.columnSupernodes, forest.count);
  const nodeOrder = columns.members.map((column) => tree.order[column]!);
  const columnSupernodes = new Int32Array(nodeOrder.length);
  for (let s = 0; s < forest.count; s++) columnSupernodes.fill(s, columns.starts[s]!, columns.starts[s + 1]!);
  const layout = layOutSupernodes(nodes.graph, nodeOrder, nodes, { ...forest, columnSupernodes });
  const order = expandOrder(nodeOrder, nodes);
  let factorEntryCount = 0;
  for (let j = 0; j < counts.length; j++)
    factorEntryCount += weights[j]! * counts[j]! - (weights[j]! * (weights[j]! - 1)) / 2;
  return {
    size: matrix.size,
    order,
    layout,
    entryTargets: locateEntries(matrix, invertPermutation(order), layout),
    diagonalEntries: matrix.columnOffsets.slice(0, matrix.size),
    factorEntryCount,
  };
}

/** What is eliminated as one: unknowns, or groups of them. */
interface Nodes extends GroupMembers {
  readonly graph: Adjacency;
  /** Nodes in an order that keeps the factor sparse. */
  readonly fillOrder: Int32Array;
}

function findNodes(matrix: Pattern, options: AnalyseOptions): Nodes {
  const { groups, ordering = orderByMinimumDegree } = options;
  if (!groups) return ungrouped(matrix, ordering);
  const { labels, count } = compactGroups(groups);
  const grouped = listMembers(labels, count);
  const graph = groupAdjacency(matrix, labels, grouped);
  const weights = new Int32Array(count);
  for (let g = 0; g < count; g++) weights[g] = grouped.starts[g + 1]! - grouped.starts[g]!;
  const fillOrder = ordering(graph, weights);
  if (matrix.entryRows.length >= GROUP_SHARE * countBlockEntries(graph, weights))
    return { ...grouped, graph, fillOrder };
  return ungrouped(matrix, () => expandOrder(fillOrder, grouped));
}

function ungrouped(matrix: Pattern, orderGraph: (graph: Adjacency) => Int32Array): Nodes {
  const graph = buildAdjacency(matrix);
  const starts = Int32Array.from({ length: matrix.size + 1 }, (_, i) => i);
  return { graph, fillOrder: orderGraph(graph), starts, members: starts.subarray(0, matrix.size) };
}

/** Numbers the groups that have members 0.. in ascending order. */
function compactGroups(groups: Int32Array): { labels: Int32Array; count: number } {
  let most = -1;
  for (const g of groups) most = Math.max(most, g);
  const numbers = new Int32Array(most + 1);
  for (const g of groups) numbers[g] = 1;
  let count = 0;
  for (let g = 0; g <= most; g++) if (numbers[g]) numbers[g] = count++;
  return { labels: groups.map((g) => numbers[g]!), count };
}

/** Entries of the lower triangle, were all members of a group to share their neighbours. */
function countBlockEntries(graph: Adjacency, weights: Int32Array): number {
  let entries = 0;
  for (let g = 0; g < graph.size; g++) {
    const own = weights[g]!;
    entries += (own * (own + 1)) / 2;
    for (let p = graph.offsets[g]!; p < graph.offsets[g + 1]!; p++)
      if (graph.neighbours[p]! < g) entries += own * weights[graph.neighbours[p]!]!;
  }
  return entries;
}

/** Members of the nodes, node after node. */
function expandOrder(nodeOrder: Int32Array, { starts, members }: GroupMembers): Int32Array {
  const order = new Int32Array(members.length);
  let count = 0;
  for (let k = 0; k < nodeOrder.length; k++)
    for (let m = starts[nodeOrder[k]!]!; m < starts[nodeOrder[k]! + 1]!; m++) order[count++] = members[m]!;
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
