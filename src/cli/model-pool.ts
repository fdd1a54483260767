import { Worker } from 'node:worker_threads';
import { EXIT } from './exit-codes.js';
import type { ModelOutcome, ModelTask } from './model-job.js';
import type { FromModelThread } from './model-thread.js';

/** How a model of a batch went. */
export type ModelResult =
  | { readonly status: 'done' | 'skipped'; readonly outcome: ModelOutcome }
  | { readonly status: 'failed'; readonly code: string; readonly exitCode: number; readonly message: string };

export interface ModelPoolOptions {
  readonly script: URL;
  readonly jobs: number;
  readonly signal: AbortSignal;
  /** Called with the number of a model, the share of its work done, 0..1, and what is being done. */
  readonly onProgress?: (index: number, share: number, stage: string) => void;
  readonly onResult: (index: number, result: ModelResult) => void;
  readonly writeError: (text: string) => void;
}

/**
 * Does models on worker threads, several at once, in the order given. A thread that dies takes its own model with
 * it and no other. Aborting ends the threads at once; models not done by then have no result.
 */
export async function runModels(tasks: readonly ModelTask[], options: ModelPoolOptions): Promise<void> {
  const { signal, script, writeError } = options;
  let next = 0;
  const work = async (): Promise<void> => {
    const lane = new ModelLane({ script, writeError });
    try {
      while (next < tasks.length && !signal.aborted) {
        const index = next++;
        const onProgress = (share: number, stage: string) => options.onProgress?.(index, share, stage);
        const result = await lane.run(tasks[index]!, { signal, onProgress });
        if (!signal.aborted) options.onResult(index, result);
      }
    } finally {
      await lane.close();
    }
  };
  await Promise.all(Array.from({ length: Math.min(options.jobs, tasks.length) }, work));
}

/** One worker thread that does a model at a time, and is replaced when a model is the end of it. */
export class ModelLane {
  readonly #options: Pick<ModelPoolOptions, 'script' | 'writeError'>;
  #worker: Worker | undefined;

  constructor(options: Pick<ModelPoolOptions, 'script' | 'writeError'>) {
    this.#options = options;
  }

  /** Never rejects: what goes wrong is a result. */
  async run(
    task: ModelTask,
    options: { signal: AbortSignal; onProgress: (share: number, stage: string) => void },
  ): Promise<ModelResult> {
    this.#worker ??= startWorker(this.#options);
    const { result, isAlive } = await doModel(this.#worker, task, options);
    if (!isAlive) await this.close();
    return result;
  }

  async close(): Promise<void> {
    const worker = this.#worker;
    this.#worker = undefined;
    await worker?.terminate();
  }
}

function startWorker({ script, writeError }: Pick<ModelPoolOptions, 'script' | 'writeError'>): Worker {
  const worker = new Worker(script, { workerData: { kind: 'model' }, stdout: true, stderr: true });
  for (const stream of [worker.stdout, worker.stderr])
    stream.on('data', (chunk) => writeError(String(chunk)));
  return worker;
}

function doModel(
  worker: Worker,
  task: ModelTask,
  { signal, onProgress }: { signal: AbortSignal; onProgress: (share: number, stage: string) => void },
): Promise<{ result: ModelResult; isAlive: boolean }> {
  return new Promise((resolve) => {
    const finish = (result: ModelResult, isAlive: boolean) => {
      worker.off('message', onMessage).off('error', onError).off('exit', onExit);
      signal.removeEventListener('abort', onAbort);
      resolve({ result, isAlive });
    };
    const die = (code: string, message: string) =>
      finish({ status: 'failed', code, exitCode: EXIT.internal, message }, false);
    const onMessage = (message: FromModelThread) => {
      if (message.type === 'progress') onProgress(message.share, message.stage);
      else if (message.type === 'done') {
        const { outcome } = message;
        finish({ status: outcome.isSkipped ? 'skipped' : 'done', outcome }, true);
      } else {
        const { code, exitCode, message: text } = message;
        finish({ status: 'failed', code, exitCode, message: text }, true);
      }
    };
    const onError = (error: NodeJS.ErrnoException) => die(error.code ?? 'INTERNAL', error.message);
    const onExit = () => die('INTERNAL', 'the worker thread ended');
    const onAbort = () => die('CANCELLED', 'the batch was interrupted');
    signal.addEventListener('abort', onAbort);
    worker.on('message', onMessage).on('error', onError).on('exit', onExit);
    worker.postMessage(task);
  });
}
