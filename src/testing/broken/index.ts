export type { BrokenMesh } from './broken-meshes.js';
export { BROKEN_MESHES } from './broken-meshes.js';
