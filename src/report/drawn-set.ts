import type { SeamEdges } from '../mesh/index.js';

/** A seam, as far as a picture needs it. */
export interface DrawnSeam extends SeamEdges {
  readonly role?: string | undefined;
  readonly part?: string | undefined;
  readonly side?: string | undefined;
  /** Model units. */
  readonly length?: number | undefined;
}

/** A chart, as far as a picture needs it. */
export interface DrawnChart {
  /** Face indices. */
  readonly faces: ArrayLike<number>;
  readonly part?: string | undefined;
  readonly side?: string | undefined;
}

/** What is drawn of a seam set; a proposal's sets fit. */
export interface DrawnSet {
  readonly seams: readonly DrawnSeam[];
  readonly charts?: readonly DrawnChart[];
}

/** The name shown for a part: its side before it where there is one. */
export function partLabel(item: { part?: string | undefined; side?: string | undefined }): string {
  const { part, side } = item;
  if (!part) return '';
  return side && side !== 'centre' ? `${side} ${part}` : part;
}
