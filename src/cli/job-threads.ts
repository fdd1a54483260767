import { Worker } from 'node:worker_threads';
import { LimitError, SeamwrightError } from '../errors.js';
import type { FlatChart } from '../flattening/index.js';
import type { Mesh } from '../mesh/index.js';
import type { DrawnStrategy, ProposalWorkers, StudyRecord, SurfaceExposures } from '../proposing/index.js';
import type { FinishedSheet } from './finish-sheet.js';
import type { FromJobThread, PartResult, ToJobThread } from './job-thread.js';
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
  readonly resolve: (value: PartResult) => void;
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
  /** Threads that have the study. */
  readonly #informed = new WeakSet<Worker>();
  /** The study that strategies are drawn on, and its copy for all threads. */
  #study: { readonly record: StudyRecord; readonly shared: StudyRecord } | undefined;
  readonly #onAbort = () =>
    this.#failAll(new LimitError('CANCELLED', 'the work was cancelled by its signal'));
  #isClosed = false;

  constructor(mesh: Mesh, options: JobThreadsOptions) {
    this.#options = options;
    this.#mesh = shareArrays(mesh);
    options.signal.addEventListener('abort', this.#onAbort);
    // They load and compile while the surface is studied.
    for (let i = 0; i < options.size; i++) this.#running.set(this.#start(), undefined);
  }

  readonly proposal: ProposalWorkers = {
    expose: (wishes) => this.#enqueue<SurfaceExposures>({ type: 'expose', wishes }),
    draw: (record, strategy) => {
      if (this.#study?.record !== record) this.#study = { record, shared: shareArrays(record) };
      return this.#enqueue<DrawnStrategy>({ type: 'draw', strategy });
    },
  };

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

  #enqueue<T extends PartResult>(message: ToJobThread): Promise<T> {
    return new Promise((resolve, reject) => {
      const task: Task = { message, resolve: (value) => resolve(value as T), reject };
      if (this.#options.signal.aborted) this.#onAbort();
      this.#queue.push(task);
      this.#queue.sort((a, b) => rankPart(a.message) - rankPart(b.message));
      this.#dispatch();
    });
  }

  #dispatch(): void {
    while (this.#queue.length > 0 && !this.#isClosed) {
      const worker = [...this.#running].find(([, task]) => !task)?.[0];
      if (!worker) return;
      const task = this.#queue.shift()!;
      this.#running.set(worker, task);
      if (task.message.type === 'draw' && !this.#informed.has(worker)) {
        this.#informed.add(worker);
        worker.postMessage({ type: 'study', record: this.#study!.shared } satisfies ToJobThread);
      }
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

/** Parts are done in this order: sheets, those of most charts first, then the rest as it came. */
const rankPart = (message: ToJobThread): number =>
  message.type === 'finish' ? -message.request.charts.length : 0;

function readFault({ fault, known }: FromJobThread & { type: 'failed' }): unknown {
  return known ? new SeamwrightError(known.code, known.message, known.details) : fault;
}

/** A copy of plain data with its arrays of numbers in memory that threads share instead of copying. */
function shareArrays<T>(data: T): T {
  const copies = new Map<object, unknown>();
  const copy = (value: unknown): unknown => {
    if (typeof value !== 'object' || value === null || value instanceof Map) return value;
    const known = copies.get(value);
    if (known !== undefined) return known;
    const made = copyObject(value);
    copies.set(value, made);
    return made;
  };
  const copyObject = (value: object): unknown => {
    if (Array.isArray(value)) return typeof value[0] === 'object' ? value.map(copy) : value;
    if (!ArrayBuffer.isView(value))
      return Object.fromEntries(Object.entries(value).map(([name, item]) => [name, copy(item)]));
    const array = value as Float64Array;
    const shared = new (array.constructor as Float64ArrayConstructor)(
      new SharedArrayBuffer(array.byteLength),
    );
    shared.set(array);
    return shared;
  };
  return copy(data) as T;
}
