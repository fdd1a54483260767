export type { BuildOptions } from './build-mesh.js';
export { BUILD_DEFAULTS, buildMesh } from './build-mesh.js';
export type { ChartSurface } from './chart-surface.js';
export { extractCharts, groupFacesByChart } from './chart-surface.js';
export type { ChartTopology, CutMesh } from './cut-mesh.js';
export { cutMesh, isCutHalfEdge, measureChartTopology, nextBorderHalfEdge } from './cut-mesh.js';
export type { FaceGeometry } from './geometry.js';
export {
  computeEdgeLengths,
  computeFaceGeometry,
  computeVertexPositions,
  vertexPosition,
} from './geometry.js';
export type { CornerId, EdgeId, FaceId, HalfEdgeId, PointId, VertexId } from './ids.js';
export type { Mesh, MeshInput, Repair, RepairKind } from './mesh.js';
export type { VertexAdjacency } from './traverse.js';
export {
  buildVertexAdjacency,
  edgeFaces,
  edgeVertices,
  headVertex,
  isBorderEdge,
  isBorderVertex,
  outgoingHalfEdges,
  tailVertex,
  vertexEdges,
} from './traverse.js';
