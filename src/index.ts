export { buildMesh } from './mesh/index.js';
