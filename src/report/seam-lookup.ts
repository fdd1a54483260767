import type { Mesh } from '../mesh/index.js';
import { EdgeFinder } from '../mesh/index.js';
import type { DrawnSeam } from './drawn-set.js';

/** Index of the seam each edge lies on, the first where several name it; -1 for none. Unknown pairs are skipped. */
export function findEdgeSeams(mesh: Mesh, seams: readonly DrawnSeam[]): Int32Array {
  const edgeSeams = new Int32Array(mesh.edgeCount).fill(-1);
  if (seams.length === 0) return edgeSeams;
  const finder = new EdgeFinder(mesh);
  seams.forEach((seam, index) => {
    for (const [a, b] of seam.edges)
      for (const e of finder.find(a, b)) if (edgeSeams[e]! < 0) edgeSeams[e] = index;
  });
  return edgeSeams;
}
