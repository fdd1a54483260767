export { openFolder } from './allowed-folder.js';
export { serveThread } from './bridge-thread.js';
export type { ServeOptions } from './stdio-transport.js';
export { serveBridge } from './stdio-transport.js';
export type { ThreadData } from './thread-pool.js';
