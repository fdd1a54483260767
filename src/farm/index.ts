export type { FarmConnection, FarmModel, QueueOptions } from './queue-models.js';
export { FARM_DEFAULTS, queueModels } from './queue-models.js';
export type { FarmStatus } from './read-farm.js';
export { readFarm } from './read-farm.js';
export type { FarmWorker, FarmWorkerOptions } from './run-farm-worker.js';
export { runFarmWorker } from './run-farm-worker.js';
