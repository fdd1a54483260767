import type { FactorTask } from './block-eliminator.js';
import { openCompiledEliminator } from './compiled-eliminator.js';
import { PlainEliminator } from './plain-eliminator.js';
import { triangleSize } from './supernode-layout.js';

/** A dense symmetric system whose first unknowns are to be eliminated. */
export interface Front {
  /** How many are eliminated, and how many there are. */
  readonly width: number;
  readonly height: number;
  /** Their columns, height × width, row by row: the matrix, and L once they are eliminated. */
  readonly block: Float64Array;
  /** Lower triangle of the others, row by row: the matrix, and what elimination leaves of it. */
  readonly update: Float64Array;
}

/** What elimination elsewhere left, and which unknown of the front each of its own is; ascending. */
export interface FrontPart {
  readonly update: Float64Array;
  readonly positions: ArrayLike<number>;
}

export function openFront(width: number, height: number): Front {
  return {
    width,
    height,
    block: new Float64Array(width * height),
    update: new Float64Array(triangleSize(height - width)),
  };
}

/**
 * Adds the parts to the front and eliminates in place; the same bits with compiled code and without.
 *
 * @param floors - least pivot accepted of each unknown that is eliminated
 * @returns -1, or the unknown whose pivot was at or below its floor
 */
export function eliminateFront(front: Front, parts: readonly FrontPart[], floors: Float64Array): number {
  const { width, height, block, update } = front;
  const last = parts.length;
  const rowOffsets = new Int32Array(last + 2);
  const tops = new Int32Array(last + 1);
  parts.forEach(({ update: { length }, positions }, i) => {
    rowOffsets[i + 1] = rowOffsets[i]! + positions.length;
    tops[i + 1] = tops[i]! + length;
  });
  rowOffsets[last + 1] = rowOffsets[last]! + height - width;
  const parentPositions = new Int32Array(rowOffsets[last]!);
  for (const [i, { positions }] of parts.entries()) parentPositions.set(positions, rowOffsets[i]!);
  const top = tops[last]!;
  const task: FactorTask = {
    layout: {
      firstColumns: new Int32Array(last + 2).fill(width, last + 1),
      rowOffsets,
      parentPositions,
      blockOffsets: new Int32Array(last + 2).fill(block.length, last + 1),
      stackSize: top + update.length,
      most: { columns: width, rows: height, values: block.length },
    },
    values: block,
    pivots: new Float64Array(width),
    floors,
  };
  const eliminator = openCompiledEliminator(task) ?? new PlainEliminator(task);
  const { stack } = eliminator;
  parts.forEach((part, i) => {
    stack.set(part.update, tops[i]!);
  });
  stack.set(update, top);
  eliminator.open(last, top);
  for (let i = 0; i < last; i++) eliminator.addChild(i, tops[i]!);
  const failed = eliminator.eliminate();
  update.set(stack.subarray(top, top + update.length));
  return failed;
}
