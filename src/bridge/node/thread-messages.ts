import type { ErrorAnswer } from '../error-codes.js';
import type { Job, JobOutcome } from '../job.js';

/** What the pool says to a worker thread. */
export type ToThread =
  | { readonly type: 'job'; readonly job: Job; readonly flag: Int32Array }
  | { readonly type: 'parse'; readonly body: Uint8Array }
  | { readonly type: 'forget'; readonly meshId: string };

/** What a worker thread says to the pool. */
export type FromThread =
  | { readonly type: 'progress'; readonly share: number; readonly stage: string }
  | { readonly type: 'done'; readonly outcome: JobOutcome }
  | { readonly type: 'parsed'; readonly message: unknown }
  | { readonly type: 'failed'; readonly error: ErrorAnswer };
