import type { GroupMembers } from '../structures/index.js';
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
export function groupAdjacency(
  matrix: Pick<SymmetricMatrix, 'size' | 'columnOffsets' | 'entryRows'>,
  groups: Int32Array,
  { starts, members }: GroupMembers,
): Adjacency {
  const groupCount = starts.length - 1;
  const lower = listLowerNeighbours(matrix, groups, { starts, members });
  // Every pair was met from one side, or from both; both sides get it, and then lose what they have twice.
  const offsets = lower.offsets.slice();
  for (const other of lower.neighbours) offsets[other + 1]!++;
  for (let g = 0, added = 0; g < groupCount; g++) {
    added += offsets[g + 1]! - lower.offsets[g + 1]!;
    offsets[g + 1] = lower.offsets[g + 1]! + added;
  }
  const fill = offsets.slice(0, groupCount);
  const neighbours = new Int32Array(offsets[groupCount]!);
  for (let g = 0; g < groupCount; g++) {
    for (let p = lower.offsets[g]!; p < lower.offsets[g + 1]!; p++) {
      const other = lower.neighbours[p]!;
      neighbours[fill[g]!++] = other;
      neighbours[fill[other]!++] = g;
    }
  }
  return dropRepeats({ size: groupCount, offsets, neighbours });
}

/** Groups met in the columns of each group's members, each once. */
function listLowerNeighbours(
  { columnOffsets, entryRows }: Pick<SymmetricMatrix, 'columnOffsets' | 'entryRows'>,
  groups: Int32Array,
  { starts, members }: GroupMembers,
): Adjacency {
  const groupCount = starts.length - 1;
  const seen = new Int32Array(groupCount).fill(-1);
  const offsets = new Int32Array(groupCount + 1);
  const neighbours = new Int32Array(entryRows.length);
  let count = 0;
  for (let g = 0; g < groupCount; g++) {
    seen[g] = g;
    for (let m = starts[g]!; m < starts[g + 1]!; m++) {
      const column = members[m]!;
      for (let p = columnOffsets[column]!; p < columnOffsets[column + 1]!; p++) {
        const other = groups[entryRows[p]!]!;
        if (seen[other] === g) continue;
        seen[other] = g;
        neighbours[count++] = other;
      }
    }
    offsets[g + 1] = count;
  }
  return { size: groupCount, offsets, neighbours: neighbours.subarray(0, count) };
}

function dropRepeats({ size, offsets, neighbours }: Adjacency): Adjacency {
  const seen = new Int32Array(size).fill(-1);
  const kept = new Int32Array(size + 1);
  let count = 0;
  for (let v = 0; v < size; v++) {
    for (let p = offsets[v]!; p < offsets[v + 1]!; p++) {
      const other = neighbours[p]!;
      if (seen[other] === v) continue;
      seen[other] = v;
      neighbours[count++] = other;
    }
    kept[v + 1] = count;
  }
  return { size, offsets: kept, neighbours: neighbours.slice(0, count) };
}
