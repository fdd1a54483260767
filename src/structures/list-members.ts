/** Members of every group, ascending: those of group g are `members[starts[g]] .. members[starts[g + 1] - 1]`. */
export interface GroupMembers {
  readonly starts: Int32Array;
  readonly members: Int32Array;
}

/**
 * Lists the members of every group: a counting sort.
 *
 * @param groups - group of each item, 0..groupCount-1
 * @param order - the items in the order in which they come within a group; left out, ascending
 */
export function listMembers(groups: ArrayLike<number>, groupCount: number, order?: Int32Array): GroupMembers {
  const starts = new Int32Array(groupCount + 1);
  for (let i = 0; i < groups.length; i++) starts[groups[i]! + 1]!++;
  for (let g = 0; g < groupCount; g++) starts[g + 1]! += starts[g]!;
  const fill = starts.slice();
  const members = new Int32Array(groups.length);
  for (let k = 0; k < groups.length; k++) {
    const i = order ? order[k]! : k;
    members[fill[groups[i]!]!++] = i;
  }
  return { starts, members };
}
