import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import type { Job } from 'bullmq';
import { UnrecoverableError, Worker } from 'bullmq';
import type { ModelOutcome } from '../cli/index.js';
import { ModelLane, removeScratchOf } from '../cli/index.js';
import type { FarmConnection, FarmModel } from './queue-models.js';
import { connectionOf, FARM_DEFAULTS } from './queue-models.js';

export interface FarmWorkerOptions extends FarmConnection {
  /** Models worked on at once. @defaultValue one less than the processors, at least 1 */
  readonly jobs?: number;
  /**
   * Milliseconds after which a model counts as abandoned when its worker does not report any more; another worker
   * then takes it.
   * @defaultValue 30000
   */
  readonly abandonedAfter?: number;
  /** Gets a line for each model that is done or has failed. @defaultValue none */
  readonly log?: (line: string) => void;
}

export interface FarmWorker {
  /** Takes no more models, and resolves when those in work are done. */
  readonly close: () => Promise<void>;
}

/** Progress is reported at most this often, in milliseconds. */
const PROGRESS_INTERVAL = 1000;
/** Exit codes that stand for a fault of the model or its options, which trying again does not mend. */
const OWN_FAULTS: readonly number[] = [2, 3, 4];

/**
 * Works on the models of a queue until it is closed. Each runs on a thread of its own, so that the queue hears of
 * this worker however hard it works; results are put in place by one rename, so that a model done twice, because its
 * first worker was thought dead, is there once.
 */
export function runFarmWorker(options: FarmWorkerOptions = {}): FarmWorker {
  const jobs = options.jobs ?? Math.max(1, availableParallelism() - 1);
  const abandonedAfter = options.abandonedAfter ?? 30_000;
  const stop = new AbortController();
  const lanes = Array.from(
    { length: jobs },
    () => new ModelLane({ script: workerScript(), writeError: (text) => options.log?.(text.trimEnd()) }),
  );
  const free = [...lanes];
  const worker = new Worker<FarmModel, ModelOutcome>(
    options.queue ?? FARM_DEFAULTS.queue,
    async (job) => {
      const lane = free.pop()!;
      try {
        return await doModel(job, lane, stop.signal);
      } finally {
        free.push(lane);
      }
    },
    {
      connection: connectionOf(options),
      concurrency: jobs,
      lockDuration: abandonedAfter,
      stalledInterval: abandonedAfter / 2,
      maxStalledCount: 3,
    },
  );
  worker.on('completed', (job, outcome) =>
    options.log?.(`${job.data.file}: ${outcome.isSkipped ? 'was done already' : `${outcome.pieces} pieces`}`),
  );
  worker.on('failed', (job, error) => options.log?.(`${job?.data.file}: ${error.message}`));
  // Without a listener a lost connection would end the process; it is made again by itself.
  worker.on('error', (error) => options.log?.(`queue: ${error.message}`));
  return {
    async close() {
      await worker.close();
      stop.abort();
      await Promise.all(lanes.map((lane) => lane.close()));
    },
  };
}

async function doModel(
  job: Job<FarmModel, ModelOutcome>,
  lane: ModelLane,
  signal: AbortSignal,
): Promise<ModelOutcome> {
  const { file, folder, options = {} } = job.data;
  let lastTime = -PROGRESS_INTERVAL;
  const result = await lane.run(
    { file, folder, options, version: readVersion() },
    {
      signal,
      onProgress(share, stage) {
        const now = performance.now();
        if (now - lastTime < PROGRESS_INTERVAL) return;
        lastTime = now;
        // Progress that does not arrive is no loss.
        job.updateProgress({ share, stage }).catch(() => undefined);
      },
    },
  );
  if (result.status === 'failed') {
    const message = `${result.message} [${result.code}]`;
    throw OWN_FAULTS.includes(result.exitCode) ? new UnrecoverableError(message) : new Error(message);
  }
  await removeScratchOf(folder);
  return result.outcome;
}

/** Files of the package are found from this one, which bundling leaves in dist/farm. */
function packageFile(path: string): URL {
  return new URL(`../../${path}`, import.meta.url);
}

/** The file that worker threads run. */
const workerScript = (): URL => packageFile('dist/cli/worker.js');

function readVersion(): string {
  return (JSON.parse(readFileSync(packageFile('package.json'), 'utf8')) as { version: string }).version;
}
