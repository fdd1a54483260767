export type { Arbitrary, FastCheck } from './fast-check.js';
export type { MeshArbitraries } from './mesh-arbitraries.js';
export { meshArbitraries } from './mesh-arbitraries.js';
export type { MeshCase } from './mesh-case.js';
export type { HintsCase, SeamSetCase } from './seam-arbitraries.js';
export { anySeamSets, diskSeamSets, hintSets } from './seam-arbitraries.js';
