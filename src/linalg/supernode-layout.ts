import { NumericalError } from '../errors.js';
import type { GroupMembers } from '../structures/index.js';
import { listMembers } from '../structures/index.js';
import type { Adjacency } from './adjacency.js';
import { invertPermutation } from './elimination-tree.js';
import type { SupernodeForest } from './find-supernodes.js';
import type { SymmetricMatrix } from './symmetric-matrix.js';

// Positions stay within 32 bits: an engine computes with them at twice the speed of larger ones.
const VALUE_LIMIT = 2 ** 31 - 1;

/** Where every supernode's dense block lies and which rows it has. */
export interface SupernodeLayout {
  readonly count: number;
  /** First column of each supernode in elimination numbering, and the size at the end. */
  readonly firstColumns: Int32Array;
  /** Parent of each supernode, or -1; supernodes are in postorder. */
  readonly parents: Int32Array;
  /** Rows under the diagonal block: those of s are `rows[rowOffsets[s]] .. rows[rowOffsets[s + 1] - 1]`, ascending. */
  readonly rowOffsets: Int32Array;
  readonly rows: Int32Array;
  /** Position of each of these rows in the parent's block: below the parent's width its own columns, then its rows. */
  readonly parentPositions: Int32Array;
  /** First value of each block (rows × width, row by row, own columns first), and the value count at the end. */
  readonly blockOffsets: Int32Array;
  /** Values that the pending updates take at most at one time. */
  readonly stackSize: number;
  /** Columns, rows and values of a block, at most. */
  readonly most: { readonly columns: number; readonly rows: number; readonly values: number };
}

/**
 * Lists the rows of every supernode and lays its block out. Linear in the size of what is returned.
 *
 * @param order - nodes in elimination order, those of a supernode side by side
 * @param groups - unknowns of each node
 */
export function layOutSupernodes(
  graph: Adjacency,
  order: Int32Array,
  groups: GroupMembers,
  forest: SupernodeForest,
): SupernodeLayout {
  const { count, columnSupernodes, parents } = forest;
  // First unknown of each node, in elimination numbering.
  const firsts = new Int32Array(order.length + 1);
  const firstColumns = new Int32Array(count + 1);
  for (let k = 0; k < order.length; k++) {
    firsts[k + 1] = firsts[k]! + groups.starts[order[k]! + 1]! - groups.starts[order[k]!]!;
    firstColumns[columnSupernodes[k]! + 1] = firsts[k + 1]!;
  }
  const { rowOffsets, rows } = listRows(graph, order, firsts, forest);
  const blockOffsets = new Int32Array(count + 1);
  const most = { columns: 0, rows: 0, values: 0 };
  let valueCount = 0;
  for (let s = 0; s < count; s++) {
    const width = firstColumns[s + 1]! - firstColumns[s]!;
    const height = width + rowOffsets[s + 1]! - rowOffsets[s]!;
    most.columns = Math.max(most.columns, width);
    most.rows = Math.max(most.rows, height);
    most.values = Math.max(most.values, width * height);
    valueCount += width * height;
    blockOffsets[s + 1] = valueCount;
  }
  if (valueCount > VALUE_LIMIT) {
    throw new NumericalError(
      'MATRIX_TOO_LARGE',
      `analyse: the factor is too large, got ${valueCount} values, expected at most ${VALUE_LIMIT}`,
    );
  }
  const shape = { count, firstColumns, parents, rowOffsets, rows };
  return {
    ...shape,
    parentPositions: findParentPositions(shape),
    blockOffsets,
    stackSize: measureStack(shape),
    most,
  };
}

/** Rows under the diagonal block of every supernode, ascending. */
function listRows(
  graph: Adjacency,
  order: Int32Array,
  firsts: Int32Array,
  forest: SupernodeForest,
): { rowOffsets: Int32Array; rows: Int32Array } {
  const { count } = forest;
  const ranks = invertPermutation(order);
  const rowOffsets = new Int32Array(count + 1);
  walkRows(graph, order, ranks, firsts, forest, rowOffsets.subarray(1), undefined);
  for (let s = 0; s < count; s++) rowOffsets[s + 1]! += rowOffsets[s]!;
  const rows = new Int32Array(rowOffsets[count]!);
  walkRows(graph, order, ranks, firsts, forest, rowOffsets.slice(0, count), rows);
  return { rowOffsets, rows };
}

/**
 * Advances the position of a supernode by each row under its diagonal block, rows ascending, and writes the
 * row there.
 */
function walkRows(
  graph: Adjacency,
  order: Int32Array,
  ranks: Int32Array,
  firsts: Int32Array,
  forest: SupernodeForest,
  positions: Int32Array,
  rows: Int32Array | undefined,
): void {
  const { columnSupernodes, parents, count } = forest;
  const { size, offsets, neighbours } = graph;
  const lastRow = new Int32Array(count).fill(-1);
  for (let k = 0; k < size; k++) {
    lastRow[columnSupernodes[k]!] = k;
    const node = order[k]!;
    const first = firsts[k]!;
    const end = firsts[k + 1]!;
    for (let p = offsets[node]!; p < offsets[node + 1]!; p++) {
      const column = ranks[neighbours[p]!]!;
      if (column >= k) continue;
      // A row of a block is a row of every block above it, up to the one that eliminates it.
      for (let s = columnSupernodes[column]!; lastRow[s] !== k; s = parents[s]!) {
        lastRow[s] = k;
        const at = positions[s]!;
        positions[s] = at + end - first;
        if (rows) for (let row = first; row < end; row++) rows[at + row - first] = row;
      }
    }
  }
}

type Shape = Pick<SupernodeLayout, 'count' | 'firstColumns' | 'parents' | 'rowOffsets' | 'rows'>;

function findParentPositions(shape: Shape): Int32Array {
  const { count, firstColumns, parents, rowOffsets, rows } = shape;
  const positions = new Int32Array(rows.length);
  for (let s = 0; s < count; s++) {
    const parent = parents[s]!;
    if (parent < 0) continue;
    const first = firstColumns[parent]!;
    const end = firstColumns[parent + 1]!;
    // Both lists ascend, so one walk finds all.
    let q = rowOffsets[parent]!;
    for (let p = rowOffsets[s]!; p < rowOffsets[s + 1]!; p++) {
      const row = rows[p]!;
      if (row < end) positions[p] = row - first;
      else {
        while (rows[q]! < row) q++;
        positions[p] = end - first + q - rowOffsets[parent]!;
      }
    }
  }
  return positions;
}

/** Values of a packed lower triangle. */
export const triangleSize = (rows: number): number => (rows * (rows + 1)) >> 1;

function measureStack(shape: Shape): number {
  const { count, parents, rowOffsets } = shape;
  const pending = new Float64Array(count);
  let used = 0;
  let most = 0;
  for (let s = 0; s < count; s++) {
    const own = triangleSize(rowOffsets[s + 1]! - rowOffsets[s]!);
    // The block's own update is made above those of its children, which then go.
    most = Math.max(most, used + own);
    used += own - pending[s]!;
    if (parents[s]! >= 0) pending[parents[s]!]! += own;
  }
  return most;
}

/** The value of its block that each entry of the matrix is written to. */
export function locateEntries(
  matrix: Pick<SymmetricMatrix, 'size' | 'columnOffsets' | 'entryRows'>,
  ranks: Int32Array,
  layout: SupernodeLayout,
): Int32Array {
  const { size, entryRows } = matrix;
  const { count, firstColumns, rowOffsets, rows, blockOffsets } = layout;
  const { starts, entries, entryHighs } = listEntriesByColumn(matrix, ranks);
  const targets = new Int32Array(entryRows.length);
  const rowPositions = new Int32Array(size);
  for (let s = 0; s < count; s++) {
    const first = firstColumns[s]!;
    const width = firstColumns[s + 1]! - first;
    for (let k = 0; k < width; k++) rowPositions[first + k] = k;
    for (let p = rowOffsets[s]!; p < rowOffsets[s + 1]!; p++)
      rowPositions[rows[p]!] = width + p - rowOffsets[s]!;
    for (let c = first; c < first + width; c++)
      for (let k = starts[c]!; k < starts[c + 1]!; k++)
        targets[entries[k]!] = blockOffsets[s]! + rowPositions[entryHighs[k]!]! * width + (c - first);
  }
  return targets;
}

/** Entries by the column they have in elimination numbering, with their row there. */
function listEntriesByColumn(
  matrix: Pick<SymmetricMatrix, 'size' | 'columnOffsets' | 'entryRows'>,
  ranks: Int32Array,
): { starts: Int32Array; entries: Int32Array; entryHighs: Int32Array } {
  const { size, columnOffsets, entryRows } = matrix;
  const lows = new Int32Array(entryRows.length);
  const highs = new Int32Array(entryRows.length);
  for (let j = 0; j < size; j++)
    for (let p = columnOffsets[j]!; p < columnOffsets[j + 1]!; p++) {
      lows[p] = Math.min(ranks[j]!, ranks[entryRows[p]!]!);
      highs[p] = Math.max(ranks[j]!, ranks[entryRows[p]!]!);
    }
  const { starts, members } = listMembers(lows, size);
  return { starts, entries: members, entryHighs: members.map((p) => highs[p]!) };
}
