import { parentPort, workerData } from 'node:worker_threads';
import type { ThreadData } from '../bridge/node/index.js';
import type { JobThreadData } from './job-threads.js';

// What every worker thread of the program runs. Each kind loads what it needs and no more.
const data = workerData as ThreadData | JobThreadData | { readonly kind: 'model' };
if (data.kind === 'bridge') (await import('../bridge/node/index.js')).serveThread(parentPort!, data.folder);
else if (data.kind === 'job') (await import('./job-thread.js')).serveJobThread(parentPort!, data.mesh);
else (await import('./model-thread.js')).serveModelThread(parentPort!);
