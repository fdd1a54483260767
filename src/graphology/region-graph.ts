import { UndirectedGraph } from 'graphology';
import { InvalidOptionError } from '../errors.js';
import type { EdgeId, Mesh } from '../mesh/index.js';
import { computeEdgeLengths, computeFaceGeometry } from '../mesh/index.js';

export interface RegionGraphNode {
  readonly region: number;
  readonly faceCount: number;
  /** In square model units. */
  readonly area: number;
}

export interface RegionGraphEdge {
  /** Mesh edges between the two regions, ascending. */
  readonly edges: Int32Array;
  /** Their length in model units. */
  readonly length: number;
  /** Sum of their weights. */
  readonly weight: number;
}

/** Regions as nodes (keys are region numbers as strings), shared boundaries as edges. */
export type RegionGraph = UndirectedGraph<RegionGraphNode, RegionGraphEdge>;

/**
 * Which regions of faces touch, and along what.
 *
 * @param faceRegions - region of each face, ≥ 0; -1 for faces in none
 * @param weights - per edge, summed over each boundary; lengths by default
 * @throws OPTION_INVALID when an array has the wrong length
 */
export function buildRegionGraph(
  mesh: Mesh,
  faceRegions: ArrayLike<number>,
  weights?: ArrayLike<number>,
): RegionGraph {
  if (faceRegions.length !== mesh.faceCount || (weights && weights.length !== mesh.edgeCount)) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `buildRegionGraph: got ${faceRegions.length} regions and ${weights?.length ?? 'no'} weights, expected ${mesh.faceCount} and ${mesh.edgeCount}`,
    );
  }
  const { faceAreas } = computeFaceGeometry(mesh);
  const lengths = computeEdgeLengths(mesh);
  const regions = new Map<number, { faceCount: number; area: number }>();
  for (let f = 0; f < mesh.faceCount; f++) {
    const region = faceRegions[f]!;
    if (region < 0) continue;
    const sum = regions.get(region) ?? { faceCount: 0, area: 0 };
    regions.set(region, { faceCount: sum.faceCount + 1, area: sum.area + faceAreas[f]! });
  }
  const boundaries = new Map<string, { low: number; high: number; edges: EdgeId[] }>();
  for (let e = 0; e < mesh.edgeCount; e++) {
    const h = mesh.edgeHalfEdges[e]!;
    const t = mesh.twin[h]!;
    if (t < 0) continue;
    const a = faceRegions[mesh.cornerFaces[h]!]!;
    const b = faceRegions[mesh.cornerFaces[t]!]!;
    if (a === b || a < 0 || b < 0) continue;
    const low = Math.min(a, b);
    const high = Math.max(a, b);
    const key = `${low}-${high}`;
    const boundary = boundaries.get(key);
    if (boundary) boundary.edges.push(e);
    else boundaries.set(key, { low, high, edges: [e] });
  }
  const graph: RegionGraph = new UndirectedGraph<RegionGraphNode, RegionGraphEdge>();
  for (const region of [...regions.keys()].sort((a, b) => a - b))
    graph.addNode(String(region), { region, ...regions.get(region)! });
  for (const [key, { low, high, edges }] of boundaries) {
    let length = 0;
    let weight = 0;
    for (const e of edges) {
      length += lengths[e]!;
      weight += weights ? weights[e]! : lengths[e]!;
    }
    graph.addEdgeWithKey(key, String(low), String(high), { edges: Int32Array.from(edges), length, weight });
  }
  return graph;
}
