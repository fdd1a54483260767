import { MultiUndirectedGraph } from 'graphology';
import type { SeamGraphArc, SeamGraphNode } from '../graph/index.js';
import { traceSeams } from '../graph/index.js';
import type { Mesh } from '../mesh/index.js';

/** Junctions and ends of the seams as nodes (keys are vertex ids as strings), the seam arcs between them as edges. */
export type SeamGraph = MultiUndirectedGraph<SeamGraphNode, SeamGraphArc>;

/**
 * The structure of a set of seam edges.
 *
 * @param isSeam - 1 per edge; marked border edges of the mesh are left out, being open already
 * @param edgeLabels - a number per edge; arcs end where it changes
 *
 * Linear in the mesh.
 */
export function buildSeamGraph(mesh: Mesh, isSeam: Uint8Array, edgeLabels?: ArrayLike<number>): SeamGraph {
  const graph: SeamGraph = new MultiUndirectedGraph<SeamGraphNode, SeamGraphArc>();
  const { nodes, arcs } = traceSeams(mesh, isSeam, edgeLabels);
  for (const node of nodes) graph.addNode(String(node.vertex), node);
  for (const arc of arcs) graph.addEdge(String(arc.vertices[0]), String(arc.vertices.at(-1)), arc);
  return graph;
}
