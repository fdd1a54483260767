import { LimitError } from '../errors.js';
import type { Job, JobContext, JobFiles, JobRunner, RunningJob } from './job.js';
import { MeshCache } from './mesh-cache.js';
import { parsePacked } from './read-request.js';
import { runJob } from './run-job.js';

/**
 * Runs jobs one after another on the thread it is made on, such as a Web Worker of a page. A job can be cancelled
 * where it looks at its signal and lets the event loop run.
 */
export function createInlineRunner(files?: JobFiles): JobRunner {
  const cache = new MeshCache();
  let last: Promise<unknown> = Promise.resolve();
  return {
    run(job: Job, onProgress: JobContext['onProgress']): RunningJob {
      const abort = new AbortController();
      const outcome = last.then(async () => {
        if (abort.signal.aborted) throw new LimitError('CANCELLED', 'the job was cancelled before it began');
        return runJob(job, { signal: abort.signal, onProgress, files }, cache);
      });
      last = outcome.catch(() => undefined);
      return { outcome, cancel: () => abort.abort() };
    },
    parse: async (body) => parsePacked(body),
    forget: (meshId) => cache.forget(meshId),
  };
}
