import { parentPort, workerData } from 'node:worker_threads';
import type { ThreadData } from '../bridge/node/index.js';
import { serveThread } from '../bridge/node/index.js';
import { serveModelThread } from './model-thread.js';

// What every worker thread of the program runs.
const data = workerData as ThreadData | { readonly kind: 'model' };
if (data.kind === 'bridge') serveThread(parentPort!, data.folder);
else serveModelThread(parentPort!);
