import { Worker } from 'node:worker_threads';
import { LimitError } from '../../errors.js';
import { BridgeError } from '../error-codes.js';
import type { Job, JobContext, JobOutcome, JobRunner, RunningJob } from '../job.js';
import type { FromThread, ToThread } from './thread-messages.js';

export interface ThreadPoolOptions {
  /** The file that worker threads run; it calls `serveThread`. */
  readonly script: URL;
  /** Most threads at once. */
  readonly size: number;
  /** Folder whose files may be named by path. @defaultValue none: paths are refused */
  readonly folder?: string | undefined;
  readonly maxHeapMebibytes: number;
  /** Where lines go that anything prints in a thread, as standard output is the protocol's. */
  readonly writeError: (text: string) => void;
}

/** What a worker is started with. */
export interface ThreadData {
  readonly kind: 'bridge';
  readonly folder: string | undefined;
}

interface Task {
  readonly message: ToThread;
  /** The mesh that the task is about, for which a thread that has built it is best. */
  readonly meshId: string | undefined;
  readonly onProgress: JobContext['onProgress'] | undefined;
  readonly resolve: (message: FromThread) => void;
  readonly reject: (error: unknown) => void;
  isCancelled: boolean;
}

interface Thread {
  readonly worker: Worker;
  readonly meshIds: Set<string>;
  task: Task | undefined;
  timer: NodeJS.Timeout | undefined;
}

/** A cancelled task that does not look at its signal for this long, in milliseconds, loses its thread. */
const GRACE = 400;

/**
 * Worker threads that run jobs. A thread holds nothing that the session does not hold too, so one that is stuck or
 * out of memory is ended and replaced, and no other request notices.
 */
export class ThreadPool implements JobRunner {
  readonly #options: ThreadPoolOptions;
  readonly #threads = new Set<Thread>();
  readonly #queue: Task[] = [];
  /** The thread that worked on a mesh's seams last, and so remembers most of it. */
  readonly #homes = new Map<string, Thread>();
  #isClosed = false;

  constructor(options: ThreadPoolOptions) {
    this.#options = options;
    this.#start();
  }

  run(job: Job, onProgress: JobContext['onProgress']): RunningJob {
    const flag = new Int32Array(new SharedArrayBuffer(4));
    const { promise, task } = this.#enqueue(
      { type: 'job', job, flag },
      job.mesh?.id ?? job.newId,
      onProgress,
    );
    return {
      outcome: promise.then((message) => (message as { outcome: JobOutcome }).outcome),
      cancel: () => {
        Atomics.store(flag, 0, 1);
        this.#cancel(task);
      },
    };
  }

  async parse(body: Uint8Array): Promise<unknown> {
    const message = await this.#enqueue({ type: 'parse', body }, undefined, undefined).promise;
    return (message as { message: unknown }).message;
  }

  forget(meshId: string): void {
    this.#homes.delete(meshId);
    for (const thread of this.#threads) {
      if (thread.meshIds.delete(meshId))
        thread.worker.postMessage({ type: 'forget', meshId } satisfies ToThread);
    }
  }

  /** Ends every thread, whatever it does. */
  async close(): Promise<void> {
    this.#isClosed = true;
    this.#queue.length = 0;
    await Promise.all([...this.#threads].map(({ worker }) => worker.terminate()));
  }

  #enqueue(message: ToThread, meshId: string | undefined, onProgress: JobContext['onProgress'] | undefined) {
    let task!: Task;
    const promise = new Promise<FromThread>((resolve, reject) => {
      task = { message, meshId, onProgress, resolve, reject, isCancelled: false };
    });
    // Parsing is short and lets other requests in; it goes first.
    if (message.type === 'parse') this.#queue.unshift(task);
    else this.#queue.push(task);
    this.#dispatch();
    return { promise, task };
  }

  #dispatch(): void {
    if (this.#isClosed) return;
    while (this.#queue.length > 0) {
      const idle = [...this.#threads].filter((thread) => !thread.task);
      if (idle.length === 0) {
        if (this.#threads.size >= this.#options.size) return;
        idle.push(this.#start());
      }
      const task = this.#queue.shift()!;
      const { meshId } = task;
      if (meshId === undefined) this.#assign(idle[0]!, task);
      else {
        const home = this.#homes.get(meshId);
        const knowing =
          idle.find((thread) => thread === home) ?? idle.find((each) => each.meshIds.has(meshId));
        this.#assign(knowing ?? idle[0]!, task);
      }
    }
  }

  #assign(thread: Thread, task: Task): void {
    thread.task = task;
    const { meshId, message } = task;
    if (meshId !== undefined) {
      thread.meshIds.add(meshId);
      if (message.type === 'job' && message.job.method.startsWith('seams/')) this.#homes.set(meshId, thread);
    }
    thread.worker.postMessage(message);
  }

  #start(): Thread {
    const { script, folder, maxHeapMebibytes, writeError } = this.#options;
    const worker = new Worker(script, {
      workerData: { kind: 'bridge', folder } satisfies ThreadData,
      resourceLimits: { maxOldGenerationSizeMb: maxHeapMebibytes },
      stdin: false,
      stdout: true,
      stderr: true,
    });
    const thread: Thread = { worker, meshIds: new Set(), task: undefined, timer: undefined };
    this.#threads.add(thread);
    for (const stream of [worker.stdout, worker.stderr])
      stream.on('data', (chunk) => writeError(String(chunk)));
    worker.on('message', (message: FromThread) => this.#receive(thread, message));
    worker.on('error', (error: NodeJS.ErrnoException) => this.#lose(thread, lossOf(error, maxHeapMebibytes)));
    worker.on('exit', () => this.#lose(thread, new Error('a worker thread ended')));
    return thread;
  }

  #receive(thread: Thread, message: FromThread): void {
    const { task } = thread;
    if (!task) return;
    if (message.type === 'progress') {
      if (!task.isCancelled) task.onProgress?.(message.share, message.stage);
      return;
    }
    clearTimeout(thread.timer);
    thread.task = undefined;
    if (message.type === 'failed') task.reject(message.error);
    else task.resolve(message);
    this.#dispatch();
  }

  #cancel(task: Task): void {
    if (task.isCancelled) return;
    task.isCancelled = true;
    const waiting = this.#queue.indexOf(task);
    if (waiting >= 0) {
      this.#queue.splice(waiting, 1);
      task.reject(new LimitError('CANCELLED', 'the request was cancelled'));
      return;
    }
    for (const thread of this.#threads) {
      if (thread.task !== task) continue;
      thread.timer = setTimeout(() => void thread.worker.terminate(), GRACE);
      thread.timer.unref();
    }
  }

  #lose(thread: Thread, error: unknown): void {
    if (!this.#threads.delete(thread)) return;
    clearTimeout(thread.timer);
    thread.task?.reject(error);
    this.#dispatch();
  }
}

function lossOf(error: NodeJS.ErrnoException, maxHeapMebibytes: number): unknown {
  if (error.code !== 'ERR_WORKER_OUT_OF_MEMORY') return error;
  return new BridgeError('limitReached', 'the request needs more memory than a worker may take', {
    limit: 'maxHeapMebibytes',
    value: maxHeapMebibytes,
  });
}
