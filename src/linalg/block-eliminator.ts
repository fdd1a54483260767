import type { SupernodeLayout } from './supernode-layout.js';

/**
 * Columns eliminated at a time: deep enough for the product kernel, few enough for the cache. Sums are taken panel by
 * panel, so this decides over the last bits.
 */
export const PANEL_WIDTH = 48;

/** A factorisation in work. */
export interface FactorTask {
  readonly layout: Pick<
    SupernodeLayout,
    'firstColumns' | 'rowOffsets' | 'parentPositions' | 'blockOffsets' | 'stackSize' | 'most'
  >;
  /** The blocks: the matrix, and L once they are eliminated. */
  readonly values: Float64Array;
  readonly pivots: Float64Array;
  /** Least pivot accepted at each step. */
  readonly floors: Float64Array;
}

/** Eliminates one block after another. */
export interface BlockEliminator {
  /** Updates waiting for their parents, packed lower triangles, last in first out. */
  readonly stack: Float64Array;
  /** Opens a block, its update being at `top` of the stack. */
  readonly open: (supernode: number, top: number) => void;
  /** Adds the update of a child, which starts at `from` of the stack, to the open block and its update. */
  readonly addChild: (child: number, from: number) => void;
  /**
   * Eliminates the open block and subtracts L · D · Lᵀ of its rows from its update. Returns the failing column of the
   * block or -1.
   */
  readonly eliminate: () => number;
}
