export type { OptionValues } from './command.js';
export type { ModelOutcome, ModelTask } from './model-job.js';
export { removeScratchOf } from './model-job.js';
export type { ModelResult } from './model-pool.js';
export { ModelLane } from './model-pool.js';
