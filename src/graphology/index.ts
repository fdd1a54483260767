export type { SeamGraphArc, SeamGraphNode } from '../graph/index.js';
export type { MeshGraph, MeshGraphEdge, MeshGraphNode } from './mesh-graph.js';
export { toGraph } from './mesh-graph.js';
export type { RegionGraph, RegionGraphEdge, RegionGraphNode } from './region-graph.js';
export { buildRegionGraph } from './region-graph.js';
export type { SeamGraph } from './seam-graph.js';
export { buildSeamGraph } from './seam-graph.js';
