export type {
  Arbitrary,
  FastCheck,
  HintsCase,
  MeshArbitraries,
  MeshCase,
  SeamSetCase,
} from './arbitraries/index.js';
export { anySeamSets, diskSeamSets, hintSets, meshArbitraries } from './arbitraries/index.js';
export type {
  ChartsLike,
  ExpectInjectiveOptions,
  ExpectMirroredOptions,
  ExpectSameSeamsOptions,
  MeshLike,
  SeamsLike,
} from './assertions/index.js';
export {
  expectCovering,
  expectDiskCharts,
  expectInjective,
  expectMirrored,
  expectSameSeams,
  MeshAssertionError,
} from './assertions/index.js';
export type { BrokenMesh } from './broken/index.js';
export { BROKEN_MESHES } from './broken/index.js';
export type { DividedMesh, ShuffledMesh } from './deform/index.js';
export {
  applyMatrix,
  dropFaces,
  explodeMesh,
  flipFaces,
  jitterMesh,
  joinMeshes,
  listFaces,
  mapPoints,
  mirrorMesh,
  plainMesh,
  rotateMesh,
  rotationMatrix,
  scaleMesh,
  shuffleMesh,
  subdivideMesh,
  translateMesh,
  triangulateMesh,
  withFaces,
} from './deform/index.js';
export type { PlainMesh } from './face-list.js';
export { FaceList } from './face-list.js';
export type {
  BodyPart,
  BodySide,
  Digit,
  LimbAngles,
  Marionette,
  MarionetteOptions,
  MarionetteProportions,
  PoseAngles,
  PoseName,
  VariantOptions,
} from './marionette/index.js';
export { MARIONETTE_DEFAULTS, makeMarionette, marionetteVariants, POSE_NAMES } from './marionette/index.js';
export type { SeededRandom } from './seeded-random.js';
export { seededRandom } from './seeded-random.js';
export type { Cell, EndCap } from './shapes/index.js';
export {
  annulus,
  bracket,
  capsule,
  cellPatch,
  cellSkin,
  comb,
  cone,
  cube,
  cubeSphere,
  cylinder,
  doubleTorus,
  frustum,
  gridPatch,
  hemisphere,
  holedBlock,
  icoSphere,
  mobiusStrip,
  prism,
  revolve,
  smoothQuads,
  sphericalCap,
  spiralStrip,
  torus,
  tubeBend,
  uvSphere,
} from './shapes/index.js';
