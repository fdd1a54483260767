import type { EdgeId } from '../mesh/index.js';
import type { Study } from './study-mesh.js';

/** Length of some edges, each by how much it is seen, over the square root of the surface area. */
export function exposedLength({ exposure, edgeLengths, area }: Study, edges: readonly EdgeId[]): number {
  return edges.reduce((sum, e) => sum + edgeLengths[e]! * exposure[e]!, 0) / Math.sqrt(area);
}
