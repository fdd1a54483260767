import type { FarmConnection } from './queue-models.js';
import { openQueue } from './queue-models.js';

/** What a queue looks like at one moment. */
export interface FarmStatus {
  readonly waiting: number;
  readonly active: number;
  readonly done: number;
  readonly failed: number;
  /** Models in work, with how far they are, 0..1, and what is being done. */
  readonly working: readonly { readonly file: string; readonly share: number; readonly stage: string }[];
  readonly failures: readonly { readonly file: string; readonly message: string }[];
}

/** Reads the state of a queue. */
export async function readFarm(options: FarmConnection = {}): Promise<FarmStatus> {
  const queue = openQueue(options);
  try {
    const counts = await queue.getJobCounts('waiting', 'delayed', 'active', 'completed', 'failed');
    const [active, failed] = await Promise.all([queue.getActive(), queue.getFailed()]);
    return {
      waiting: (counts.waiting ?? 0) + (counts.delayed ?? 0),
      active: counts.active ?? 0,
      done: counts.completed ?? 0,
      failed: counts.failed ?? 0,
      working: active.map((job) => {
        const { share = 0, stage = '' } = job.progress as { share?: number; stage?: string };
        return { file: job.data.file, share, stage };
      }),
      failures: failed.map((job) => ({ file: job.data.file, message: job.failedReason })),
    };
  } finally {
    await queue.close();
  }
}
