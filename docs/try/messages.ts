import type { PackedReview } from '../../src/report/index.js';

/** What the page asks of its worker: a file, or the marionette. */
export interface TryRequest {
  readonly name: string;
  /** Undefined for the marionette. */
  readonly bytes: Uint8Array | undefined;
}

/** What the worker tells. */
export type TryAnswer =
  | { readonly kind: 'progress'; readonly share: number; readonly stage: string }
  | { readonly kind: 'done'; readonly review: PackedReview; readonly notes: readonly string[] }
  | { readonly kind: 'failed'; readonly message: string };
