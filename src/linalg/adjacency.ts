import type { SymmetricMatrix } from './symmetric-matrix.js';

/** An undirected graph without loops: neighbours of v are `neighbours[offsets[v]] .. neighbours[offsets[v + 1] - 1]`. */
export interface Adjacency {
  readonly size: number;
  readonly offsets: Int32Array;
  readonly neighbours: Int32Array;
}

/** The graph of the matrix's entries off the diagonal, both ways, ascending. */
export function buildAdjacency(
  matrix: Pick<SymmetricMatrix, 'size' | 'columnOffsets' | 'entryRows'>,
): Adjacency {
  const { size, columnOffsets, entryRows } = matrix;
  const offsets = new Int32Array(size + 1);
  for (let j = 0; j < size; j++) {
    for (let p = columnOffsets[j]!; p < columnOffsets[j + 1]!; p++) {
      const i = entryRows[p]!;
      if (i === j) continue;
      offsets[i + 1]!++;
      offsets[j + 1]!++;
    }
  }
  for (let i = 0; i < size; i++) offsets[i + 1]! += offsets[i]!;
  const fill = offsets.slice(0, size);
  const neighbours = new Int32Array(offsets[size]!);
  for (let j = 0; j < size; j++) {
    for (let p = columnOffsets[j]!; p < columnOffsets[j + 1]!; p++) {
      const i = entryRows[p]!;
      if (i === j) continue;
      neighbours[fill[i]!++] = j;
      neighbours[fill[j]!++] = i;
    }
  }
  return { size, offsets, neighbours };
}

/** The graph of groups: two groups are neighbours when any of their members are. */
export function groupAdjacency(graph: Adjacency, groups: Int32Array, groupCount: number): Adjacency {
  const { members, starts } = listMembers(groups, groupCount);
  const isSeen = new Int32Array(groupCount).fill(-1);
  const offsets = new Int32Array(groupCount + 1);
  const neighbours = new Int32Array(graph.neighbours.length);
  let count = 0;
  for (let g = 0; g < groupCount; g++) {
    isSeen[g] = g;
    for (let m = starts[g]!; m < starts[g + 1]!; m++) {
      const v = members[m]!;
      for (let p = graph.offsets[v]!; p < graph.offsets[v + 1]!; p++) {
        const other = groups[graph.neighbours[p]!]!;
        if (isSeen[other] === g) continue;
        isSeen[other] = g;
        neighbours[count++] = other;
      }
    }
    offsets[g + 1] = count;
  }
  return { size: groupCount, offsets, neighbours: neighbours.slice(0, count) };
}

/** Members of every group, ascending: those of group g are `members[starts[g]] .. members[starts[g + 1] - 1]`. */
export function listMembers(
  groups: Int32Array,
  groupCount: number,
): { starts: Int32Array; members: Int32Array } {
  const starts = new Int32Array(groupCount + 1);
  for (const g of groups) starts[g + 1]!++;
  for (let g = 0; g < groupCount; g++) starts[g + 1]! += starts[g]!;
  const fill = starts.slice(0, groupCount);
  const members = new Int32Array(groups.length);
  for (let i = 0; i < groups.length; i++) members[fill[groups[i]!]!++] = i;
  return { starts, members };
}
