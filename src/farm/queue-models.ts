import { createHash } from 'node:crypto';
import { Queue } from 'bullmq';
import { InvalidOptionError } from '../errors.js';

/** Where the queue lives. */
export interface FarmConnection {
  /** Redis server, `redis://host:port`. @defaultValue 'redis://127.0.0.1:6379' */
  readonly redis?: string;
  /** Name of the queue, shared by all that work on the same models. @defaultValue 'seamwright' */
  readonly queue?: string;
}

/** A model to be done. All workers must reach both paths by the same name. */
export interface FarmModel {
  readonly file: string;
  /** Folder for this model's results alone. */
  readonly folder: string;
  /** The options of `seamwright propose` by their long names, such as `{ sets: '2', glb: true }`. */
  readonly options?: Readonly<Record<string, string | boolean>>;
}

export interface QueueOptions extends FarmConnection {
  /** How often a model is tried when its worker breaks down; a model that is at fault itself is tried once. @defaultValue 3 */
  readonly attempts?: number;
}

export const FARM_DEFAULTS = Object.freeze({
  redis: 'redis://127.0.0.1:6379',
  queue: 'seamwright',
  attempts: 3,
});

/**
 * Puts models into the queue. One that is there already, waiting or in work, is not put in twice; one that is done
 * is put in again, and is then skipped unless its file or its options have changed.
 *
 * @throws OPTION_INVALID when two models share a folder
 */
export async function queueModels(models: readonly FarmModel[], options: QueueOptions = {}): Promise<void> {
  const folders = new Set<string>();
  for (const { folder } of models) {
    if (folders.has(folder)) {
      throw new InvalidOptionError(
        'OPTION_INVALID',
        `queueModels: two models share a folder, got '${folder}', expected one for each`,
        { folder },
      );
    }
    folders.add(folder);
  }
  const queue = openQueue(options);
  try {
    for (const model of models) {
      const jobId = idOf(model.folder);
      const earlier = await queue.getJob(jobId);
      if (earlier && ['completed', 'failed'].includes(await earlier.getState())) await earlier.remove();
      await queue.add('model', model, {
        jobId,
        attempts: options.attempts ?? FARM_DEFAULTS.attempts,
        backoff: { type: 'exponential', delay: 1000 },
      });
    }
  } finally {
    await queue.close();
  }
}

/** The same model has the same id, whoever queues it. */
const idOf = (folder: string): string =>
  `model-${createHash('sha256').update(folder).digest('hex').slice(0, 32)}`;

export function openQueue(options: FarmConnection): Queue<FarmModel> {
  return new Queue(options.queue ?? FARM_DEFAULTS.queue, { connection: connectionOf(options) });
}

export function connectionOf({ redis }: FarmConnection): { url: string; maxRetriesPerRequest: null } {
  return { url: redis ?? FARM_DEFAULTS.redis, maxRetriesPerRequest: null };
}
