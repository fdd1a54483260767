export { bracket } from './bracket.js';
export type { Cell } from './cell-shapes.js';
export {
  cellPatch,
  cellSkin,
  comb,
  cube,
  cubeSphere,
  gridPatch,
  holedBlock,
  mobiusStrip,
  spiralStrip,
} from './cell-shapes.js';
export type { EndCap } from './revolve.js';
export { revolve } from './revolve.js';
export {
  annulus,
  capsule,
  cone,
  cylinder,
  frustum,
  hemisphere,
  icoSphere,
  prism,
  sphericalCap,
  torus,
  tubeBend,
  uvSphere,
} from './round-shapes.js';
export { doubleTorus, smoothQuads } from './smooth.js';
