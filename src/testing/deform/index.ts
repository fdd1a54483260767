export type { DividedMesh, ShuffledMesh } from './remesh.js';
export {
  dropFaces,
  explodeMesh,
  jitterMesh,
  joinMeshes,
  listFaces,
  shuffleMesh,
  subdivideMesh,
  triangulateMesh,
  withFaces,
} from './remesh.js';
export {
  applyMatrix,
  flipFaces,
  mapPoints,
  mirrorMesh,
  plainMesh,
  rotateMesh,
  rotationMatrix,
  scaleMesh,
  translateMesh,
} from './transform.js';
