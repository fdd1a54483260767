import { throwIfAborted } from '../errors.js';
import { carryForClient } from './carry-job.js';
import type { Job, JobContext, JobOutcome, Kept } from './job.js';
import type { MeshCache } from './mesh-cache.js';
import { encodeResult } from './number-arrays.js';
import { openMesh } from './open-mesh-job.js';
import { proposeForClient } from './propose-job.js';
import { routeForClient } from './route-job.js';
import { arrangeForClient, exportForClient, flattenForClient, measureForClient } from './sheet-jobs.js';

/** Does one job, anywhere. @throws BridgeError and the library's errors; `toErrorAnswer` words them */
export async function runJob(job: Job, context: JobContext, cache: MeshCache): Promise<JobOutcome> {
  throwIfAborted(context.signal);
  const { result, kept = [] } = await dispatch(job, context, cache);
  throwIfAborted(context.signal);
  return { body: encodeResult(result, job.form), kept };
}

async function dispatch(
  job: Job,
  context: JobContext,
  cache: MeshCache,
): Promise<{ result: unknown; kept?: readonly Kept[] }> {
  switch (job.method) {
    case 'mesh/open': {
      const { result, value } = await openMesh(job, context, cache);
      return { result, kept: [{ kind: 'mesh', value }] };
    }
    case 'seams/propose':
    case 'seams/revise': {
      const { result, value } = await proposeForClient(job, context, cache);
      return { result, kept: [{ kind: 'proposal', value }] };
    }
    case 'seams/route':
      return { result: routeForClient(job, cache) };
    case 'seams/carry':
      return carryForClient(job, cache);
    case 'charts/flatten': {
      const { result, value } = flattenForClient(job, context, cache);
      return { result, kept: [{ kind: 'flat', value }] };
    }
    case 'sheet/arrange': {
      const { result, value } = arrangeForClient(job, context, cache);
      return { result, kept: [{ kind: 'sheet', value }] };
    }
    case 'sheet/measure':
      return { result: measureForClient(job, context, cache) };
    case 'sheet/export':
      return { result: await exportForClient(job, context, cache) };
    default:
      throw new Error(`runJob: ${job.method} is no work for a worker`);
  }
}
