import type { CanonicalMesh, EdgeId, Mesh } from '../mesh/index.js';
import { EdgeFinder, edgePoints, isBorderEdge } from '../mesh/index.js';
import { appendTo } from '../structures/index.js';

/**
 * Groups of edges that have the same name, two points of the caller's: those of sheets that share their points. What is
 * cut on one of them is cut on all.
 */
export function findCoincidentEdges(source: Mesh, { mesh, edges }: CanonicalMesh): EdgeId[][] {
  if (source.repairs.every(({ kind }) => kind !== 'duplicate-face' && kind !== 'non-manifold-edge'))
    return [];
  const finder = new EdgeFinder(source);
  const groups = new Map<EdgeId, EdgeId[]>();
  edges.forEach((sourceEdge, e) => {
    const alike = finder.find(...edgePoints(source, sourceEdge));
    if (alike.length > 1 && !isBorderEdge(mesh, e)) appendTo(groups, alike[0]!, e);
  });
  return [...groups.values()].filter((group) => group.length > 1);
}
