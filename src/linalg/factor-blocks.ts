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
  const { count, firstColumns, rowOffsets, parents } = layout;
  const { stack } = eliminator;
  // Children wait on top of the stack in order; the last is on top.
  const lastChild = new Int32Array(count).fill(-1);
  const previousSibling = new Int32Array(count);
  let top = 0;
  for (let s = 0; s < count; s++) {
    const size = triangleSize(rowOffsets[s + 1]! - rowOffsets[s]!);
    stack.fill(0, top, top + size);
    eliminator.open(s, top);
    let childTop = top;
    for (let c = lastChild[s]!; c >= 0; c = previousSibling[c]!) {
      childTop -= triangleSize(rowOffsets[c + 1]! - rowOffsets[c]!);
      eliminator.addChild(c, childTop);
    }
    const failed = eliminator.eliminate();
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
