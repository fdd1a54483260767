import { Worker } from 'node:worker_threads';
import { LimitError, SeamwrightError } from '../errors.js';
import type { FlatChart } from '../flattening/index.js';
import type { Mesh } from '../mesh/index.js';
import type { FinishedSheet } from './finish-sheet.js';
import type { FromJobThread, ToJobThread } from './job-thread.js';
import type { JobWorkers } from './job-workers.js';

export interface JobThreadsOptions {
  /** The file that worker threads run; it calls `serveJobThread`. */
  readonly script: URL;
  /** Most threads at once. */
  readonly size: number;
  readonly signal: AbortSignal;
  readonly writeError: (text: string) => void;
}

/** What a thread of a job is started with; its arrays are shared by all of them. */
export interface JobThreadData {
  readonly kind: 'job';
  readonly mesh: Mesh;
}

interface Task {
  readonly message: ToJobThread;
  readonly resolve: (value: FlatChart | FinishedSheet) => void;
  readonly reject: (error: unknown) => void;
}

/**
 * Does the parts of a job on worker threads. Each part is worked out by the same code from the same numbers as on
 * one thread, so the results are the same to the last bit, whatever the number of threads.
 */
export class JobThreads implements JobWorkers {
  readonly #options: JobThreadsOptions;
  readonly #mesh: Mesh;
  readonly #queue: Task[] = [];
  readonly #running = new Map<Worker, Task | undefined>();
  readonly #onAbort = () =>
    this.#failAll(new LimitError('CANCELLED', 'the work was cancelled by its signal'));
  #isClosed = false;

  constructor(mesh: Mesh, options: JobThreadsOptions) {
    this.#options = options;
    this.#mesh = shareArrays(mesh);
    options.signal.addEventListener('abort', this.#onAbort);
  }

  readonly flatten: JobWorkers['flatten'] = (surface, options) =>
    this.#enqueue<FlatChart>({ type: 'flatten', surface, options });

  /** A sheet is worked on before charts that wait: it is the longest part, and the last. */
  readonly finish: JobWorkers['finish'] = (request) =>
    this.#enqueue<FinishedSheet>({ type: 'finish', request });

  /** Ends every thread, whatever it does. */
  readonly close = async (): Promise<void> => {
    this.#isClosed = true;
    this.#options.signal.removeEventListener('abort', this.#onAbort);
    await Promise.all([...this.#running.keys()].map((worker) => worker.terminate()));
  };

  #enqueue<T extends FlatChart | FinishedSheet>(message: ToJobThread): Promise<T> {
    return new Promise((resolve, reject) => {
      const task: Task = { message, resolve: (value) => resolve(value as T), reject };
      if (this.#options.signal.aborted) this.#onAbort();
      if (message.type === 'finish') this.#queue.unshift(task);
      else this.#queue.push(task);
      this.#dispatch();
    });
  }

  #dispatch(): void {
    while (this.#queue.length > 0 && !this.#isClosed) {
      const idle = [...this.#running].find(([, task]) => !task)?.[0];
      if (!idle && this.#running.size >= this.#options.size) return;
      const worker = idle ?? this.#start();
      const task = this.#queue.shift()!;
      this.#running.set(worker, task);
      worker.postMessage(task.message);
    }
  }

  #start(): Worker {
    const { script, writeError } = this.#options;
    const workerData: JobThreadData = { kind: 'job', mesh: this.#mesh };
    const worker = new Worker(script, { workerData, stdout: true, stderr: true });
    for (const stream of [worker.stdout, worker.stderr])
      stream.on('data', (chunk) => writeError(String(chunk)));
    worker.on('message', (message: FromJobThread) => {
      const task = this.#running.get(worker);
      this.#running.set(worker, undefined);
      if (message.type === 'done') task?.resolve(message.value);
      else task?.reject(readFault(message));
      this.#dispatch();
    });
    worker.on('error', (error) => this.#failAll(error));
    worker.on('exit', () => {
      if (!this.#isClosed) this.#failAll(new Error('a worker thread ended'));
    });
    return worker;
  }

  /** A job with a part missing is no job: all its parts fail. */
  #failAll(error: unknown): void {
    const tasks = [...this.#running.values(), ...this.#queue.splice(0)];
    for (const task of tasks) task?.reject(error);
    void this.close();
  }
}

function readFault({ fault, known }: FromJobThread & { type: 'failed' }): unknown {
  return known ? new SeamwrightError(known.code, known.message, known.details) : fault;
}

/** The mesh with its arrays in memory that threads share instead of copying. */
function shareArrays(mesh: Mesh): Mesh {
  const share = <T extends Float64Array | Int32Array | Uint8Array>(array: T): T => {
    const shared = new (array.constructor as new (buffer: SharedArrayBuffer) => T)(
      new SharedArrayBuffer(array.byteLength),
    );
    shared.set(array);
    return shared;
  };
  const entries = Object.entries(mesh).map(([name, value]) => [
    name,
    value instanceof Float64Array || value instanceof Int32Array || value instanceof Uint8Array
      ? share(value)
      : value,
  ]);
  return Object.fromEntries(entries) as Mesh;
}
