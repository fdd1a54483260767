import type { VertexId } from '../mesh/index.js';
import type { Study } from './study-mesh.js';

/** A vertex and its mirror image, where it has one of its own. */
export function withImage({ mirror }: Study, v: VertexId): VertexId[] {
  const image = mirror?.vertexPartners[v] ?? -1;
  return image < 0 || image === v ? [v] : [v, image];
}
