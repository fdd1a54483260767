export type { BuildOptions } from './build-mesh.js';
export { BUILD_DEFAULTS, buildMesh } from './build-mesh.js';
export type { CanonicalMesh } from './canonical-mesh.js';
export { canonicalMesh } from './canonical-mesh.js';
export type { ChartSurface } from './chart-surface.js';
export { extractCharts, groupFacesByChart } from './chart-surface.js';
export type { ChartTopology, CutMesh } from './cut-mesh.js';
export {
  cutMesh,
  isCutHalfEdge,
  listBorder,
  markCutVertices,
  measureChartTopology,
  nameCharts,
  nextBorderHalfEdge,
} from './cut-mesh.js';
export type { EdgeLoop, EdgeRing } from './edge-loops.js';
export { findEdgeLoop, findEdgeRing, straightAhead, straightBehind } from './edge-loops.js';
export type { FaceGeometry } from './geometry.js';
export {
  computeCornerAngles,
  computeEdgeLengths,
  computeFaceGeometry,
  computeVertexPositions,
  edgeLength,
  vertexPosition,
} from './geometry.js';
export type { CornerId, EdgeId, FaceId, HalfEdgeId, PointId, VertexId } from './ids.js';
export type { Mesh, MeshInput, Repair, RepairKind } from './mesh.js';
export type { OpenedMesh } from './open-mesh.js';
export { findBorderLoops, openMesh } from './open-mesh.js';
export { requireMesh } from './require-mesh.js';
export type { SeamEdges } from './seam-mask.js';
export { EdgeFinder, seamMask } from './seam-mask.js';
export type { VertexAdjacency } from './traverse.js';
export {
  buildVertexAdjacency,
  edgeFaces,
  edgePoints,
  edgeVertices,
  findHalfEdge,
  headVertex,
  isBorderEdge,
  isBorderVertex,
  orientedCorners,
  outgoingHalfEdges,
  tailVertex,
  vertexEdges,
  vertexFace,
} from './traverse.js';
