export { ElementSolver, FREE, HELD } from './element-solver.js';
export type { ElementTree } from './element-tree.js';
export type { FaceElements } from './face-elements.js';
export type { MirroredElements } from './mirror-half.js';
export type { SolvingPiece } from './solving-ground.js';
