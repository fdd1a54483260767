import type { BlockEliminator } from './block-eliminator.js';
import type { SupernodeLayout } from './supernode-layout.js';
import { triangleSize } from './supernode-layout.js';

/**
 * Factors in place, block after block, by the multifrontal method: a block takes in the updates of its
 * children, is eliminated, and leaves its own update for its parent.
 *
 * @param eliminator - of the factorisation in work; whichever it is, the result is the same to the last bit
 * @returns -1, or the step at which the pivot was at or below its floor
 *
 * Reference: Duff & Reid, "The multifrontal solution of indefinite sparse symmetric linear equations",
 * ACM Trans. Math. Softw. 9(3), 1983. Against the left-looking method it makes one update per block in
 * place of one per block and ancestor, so kernel calls are fewer and larger.
 */
export function factorBlocks(eliminator: BlockEliminator, layout: SupernodeLayout): number {
  const { count, firstColumns, rowOffsets, parents, parentPositions } = layout;
  const { stack, block } = eliminator;
  // Children wait on top of the stack in order; the last is on top.
  const lastChild = new Int32Array(count).fill(-1);
  const previousSibling = new Int32Array(count);
  let top = 0;
  for (let s = 0; s < count; s++) {
    const start = eliminator.open(s);
    const width = firstColumns[s + 1]! - firstColumns[s]!;
    const below = rowOffsets[s + 1]! - rowOffsets[s]!;
    const size = triangleSize(below);
    stack.fill(0, top, top + size);
    let childTop = top;
    for (let c = lastChild[s]!; c >= 0; c = previousSibling[c]!) {
      const childRows = rowOffsets[c + 1]! - rowOffsets[c]!;
      childTop -= triangleSize(childRows);
      addUpdate(stack, childTop, parentPositions, rowOffsets[c]!, childRows, block, start, width, top);
    }
    const failed = eliminator.eliminate(s, top);
    if (failed >= 0) return firstColumns[s]! + failed;
    if (childTop < top) stack.copyWithin(childTop, top, top + size);
    top = childTop + size;
    const parent = parents[s]!;
    if (parent >= 0) {
      previousSibling[s] = lastChild[parent]!;
      lastChild[parent] = s;
    }
  }
  return -1;
}

/** Adds a child's update to its parent's block and to the parent's own update. */
function addUpdate(
  stack: Float64Array,
  from: number,
  positions: Int32Array,
  firstPosition: number,
  rowCount: number,
  values: Float64Array,
  blockStart: number,
  width: number,
  updateStart: number,
): void {
  let own = 0;
  while (own < rowCount && positions[firstPosition + own]! < width) own++;
  let source = from;
  for (let i = 0; i < own; i++) {
    const target = blockStart + positions[firstPosition + i]! * width;
    for (let j = 0; j <= i; j++) values[target + positions[firstPosition + j]!]! += stack[source++]!;
  }
  for (let i = own; i < rowCount; i++) {
    const row = positions[firstPosition + i]!;
    const target = blockStart + row * width;
    for (let j = 0; j < own; j++) values[target + positions[firstPosition + j]!]! += stack[source++]!;
    const below = row - width;
    const update = updateStart + triangleSize(below) - width;
    for (let j = own; j <= i; j++) stack[update + positions[firstPosition + j]!]! += stack[source++]!;
  }
}
