import type { EdgePath } from '../graph/index.js';
import type { EdgeId, Mesh, VertexId } from '../mesh/index.js';
import { findSeamArcs, SeamDraft } from '../seams/index.js';

/**
 * The seams of a finished character as paths between two different ends: arcs between junctions, closed ones
 * halved. What is too short to have gone any other way is left out.
 */
export function findTruePaths(mesh: Mesh, isSeam: Uint8Array): Omit<EdgePath, 'cost'>[] {
  const draft = new SeamDraft(mesh);
  const seamEdges: EdgeId[] = [];
  for (let e = 0; e < mesh.edgeCount; e++) if (isSeam[e]) seamEdges.push(e);
  draft.add(seamEdges, 'kept');
  return findSeamArcs(mesh, draft)
    .flatMap(({ edges, vertices, isClosed }) =>
      isClosed ? halve(edges, vertices) : [{ edges: [...edges], vertices: [...vertices] }],
    )
    .filter(({ edges }) => edges.length > 0);
}

function halve(edges: readonly EdgeId[], vertices: readonly VertexId[]): Omit<EdgePath, 'cost'>[] {
  const middle = edges.length >> 1;
  return [
    { edges: edges.slice(0, middle), vertices: vertices.slice(0, middle + 1) },
    { edges: edges.slice(middle), vertices: vertices.slice(middle) },
  ];
}
