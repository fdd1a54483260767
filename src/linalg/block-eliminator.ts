import type { SupernodeLayout } from './supernode-layout.js';

/**
 * Columns eliminated at a time: deep enough for the product kernel, few enough for the cache. Sums are taken panel by
 * panel, so this decides over the last bits.
 */
export const PANEL_WIDTH = 48;

/** A factorisation in work. */
export interface FactorTask {
  readonly layout: SupernodeLayout;
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
  /** Where the open block lies. */
  readonly block: Float64Array;
  /** Opens a block; returns where it starts. */
  readonly open: (supernode: number) => number;
  /**
   * Eliminates the open block and subtracts L · D · Lᵀ of its rows from its update, which starts at `top` of the stack.
   * Returns the failing column of the block or -1.
   */
  readonly eliminate: (supernode: number, top: number) => number;
}
