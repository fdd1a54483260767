import type { MessagePort } from 'node:worker_threads';
import { toErrorAnswer } from '../error-codes.js';
import type { JobFiles } from '../job.js';
import { MeshCache } from '../mesh-cache.js';
import { parsePacked } from '../read-request.js';
import { runJob } from '../run-job.js';
import { openFolder } from './allowed-folder.js';
import { SharedSignal } from './shared-signal.js';
import type { FromThread, ToThread } from './thread-messages.js';

/** Progress is told at most this often, in milliseconds; the start of a stage always is. */
const PROGRESS_INTERVAL = 50;

/** The worker's side: takes one task at a time from the pool. */
export function serveThread(port: MessagePort, folder: string | undefined): void {
  const cache = new MeshCache();
  const files: JobFiles | undefined = folder === undefined ? undefined : openFolder(folder);
  const post = (message: FromThread, transfer: ArrayBuffer[] = []) => port.postMessage(message, transfer);
  port.on('message', (message: ToThread) => {
    if (message.type === 'forget') {
      cache.forget(message.meshId);
      return;
    }
    const task =
      message.type === 'parse'
        ? Promise.resolve().then(() => postParsed(message.body, post))
        : runAndPost(message, cache, files, post);
    task.catch((error: unknown) => post({ type: 'failed', error: toErrorAnswer(error) }));
  });
}

type Post = (message: FromThread, transfer?: ArrayBuffer[]) => void;

async function runAndPost(
  { job, flag }: ToThread & { type: 'job' },
  cache: MeshCache,
  files: JobFiles | undefined,
  post: Post,
): Promise<void> {
  let lastStage: string | undefined;
  let lastTime = 0;
  const outcome = await runJob(
    job,
    {
      signal: new SharedSignal(flag),
      files,
      onProgress(share, stage) {
        const now = performance.now();
        if (stage === lastStage && now - lastTime < PROGRESS_INTERVAL) return;
        lastStage = stage;
        lastTime = now;
        post({ type: 'progress', share, stage });
      },
    },
    cache,
  );
  post({ type: 'done', outcome }, [outcome.body.buffer as ArrayBuffer]);
}

function postParsed(body: Uint8Array, post: Post): void {
  const message = parsePacked(body);
  const buffers: ArrayBuffer[] = [];
  const collect = (value: unknown) => {
    if (ArrayBuffer.isView(value)) buffers.push(value.buffer as ArrayBuffer);
    else if (typeof value === 'object' && value !== null && !Array.isArray(value))
      for (const item of Object.values(value)) collect(item);
  };
  collect(message);
  post({ type: 'parsed', message }, buffers);
}
