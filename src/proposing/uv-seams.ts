import type { EdgeId, Mesh } from '../mesh/index.js';
import { isBorderEdge } from '../mesh/index.js';

/** UVs that differ by no more than this are one. */
const TOLERANCE = 1e-6;

/** Whether the UVs of an inner edge's two sides differ; a NaN differs from everything. */
export function isUvSeam(mesh: Mesh, cornerUvs: ArrayLike<number>, e: EdgeId): boolean {
  if (isBorderEdge(mesh, e)) return false;
  const h = mesh.edgeHalfEdges[e]!;
  const t = mesh.twin[h]!;
  const differs = (a: number, b: number) =>
    !(
      Math.abs(cornerUvs[2 * a]! - cornerUvs[2 * b]!) <= TOLERANCE &&
      Math.abs(cornerUvs[2 * a + 1]! - cornerUvs[2 * b + 1]!) <= TOLERANCE
    );
  return differs(h, mesh.next[t]!) || differs(mesh.next[h]!, t);
}
