import type { MessagePort } from 'node:worker_threads';
import { exitCodeOf } from './exit-codes.js';
import type { ModelOutcome, ModelTask } from './model-job.js';
import { runModel } from './model-job.js';

/** What a thread says of its model. */
export type FromModelThread =
  | { readonly type: 'progress'; readonly share: number; readonly stage: string }
  | { readonly type: 'done'; readonly outcome: ModelOutcome }
  | { readonly type: 'failed'; readonly code: string; readonly exitCode: number; readonly message: string };

/** The worker's side of a batch: does one model at a time. */
export function serveModelThread(port: MessagePort): void {
  const post = (message: FromModelThread) => port.postMessage(message);
  port.on('message', (task: ModelTask) => {
    runModel(task, (share, stage) => post({ type: 'progress', share, stage })).then(
      (outcome) => post({ type: 'done', outcome }),
      (error: { code?: unknown; message?: unknown }) =>
        post({
          type: 'failed',
          code: typeof error.code === 'string' ? error.code : 'INTERNAL',
          exitCode: exitCodeOf(error),
          message: String(error.message ?? error),
        }),
    );
  });
}
