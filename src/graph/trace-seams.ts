import type { EdgeId, Mesh, VertexId } from '../mesh/index.js';
import { edgeLength, edgeVertices, isBorderEdge, isBorderVertex } from '../mesh/index.js';
import { appendTo } from '../structures/index.js';

export interface SeamGraphNode {
  readonly vertex: VertexId;
  /** Seam edges at the vertex. */
  readonly degree: number;
  /**
   * `junction`: three seam edges or more, or two of different labels; `end`: a loose end; `border`: on a border of the mesh; `loop`: an
   * arbitrary place on a closed seam without junctions.
   */
  readonly kind: 'junction' | 'end' | 'border' | 'loop';
}

export interface SeamGraphArc {
  /** Mesh edges of the arc in order, from `vertices[0]` to the last. */
  readonly edges: Int32Array;
  /** One more than edges; first and last are alike on a loop. */
  readonly vertices: Int32Array;
  /** In model units. */
  readonly length: number;
}

/**
 * Junctions and ends of a set of seam edges, and the arcs between them.
 *
 * @param isSeam - 1 per edge; marked border edges of the mesh are left out, being open already
 * @param edgeLabels - a number per edge; arcs end where it changes
 *
 * Linear in the mesh.
 */
export function traceSeams(
  mesh: Mesh,
  isSeam: Uint8Array,
  edgeLabels?: ArrayLike<number>,
): { readonly nodes: readonly SeamGraphNode[]; readonly arcs: readonly SeamGraphArc[] } {
  const nodes = new Map<VertexId, SeamGraphNode>();
  const arcs: SeamGraphArc[] = [];
  const around = new Map<VertexId, EdgeId[]>();
  for (let e = 0; e < mesh.edgeCount; e++) {
    if (!isSeam[e] || isBorderEdge(mesh, e)) continue;
    for (const v of edgeVertices(mesh, e)) appendTo(around, v, e);
  }
  const isDone = new Uint8Array(mesh.edgeCount);
  const trace = (start: VertexId, first: EdgeId) => {
    const vertices: VertexId[] = [start];
    const edges: EdgeId[] = [];
    let length = 0;
    let v = start;
    for (let e = first; ; ) {
      isDone[e] = 1;
      edges.push(e);
      const [a, b] = edgeVertices(mesh, e);
      length += edgeLength(mesh, e);
      v = a === v ? b : a;
      vertices.push(v);
      if (nodes.has(v)) break;
      const [p, q] = around.get(v)! as [EdgeId, EdgeId];
      e = p === e ? q : p;
    }
    arcs.push({
      edges: Int32Array.from(edges),
      vertices: Int32Array.from(vertices),
      length,
    });
  };
  const vertices = [...around.keys()].sort((a, b) => a - b);
  for (const v of vertices) {
    const [first, second] = around.get(v)! as [EdgeId, EdgeId];
    const degree = around.get(v)!.length;
    const isBorder = isBorderVertex(mesh, v);
    const isChange = degree === 2 && edgeLabels !== undefined && edgeLabels[first] !== edgeLabels[second];
    if (degree === 2 && !isBorder && !isChange) continue;
    const kind = isBorder ? 'border' : degree === 1 ? 'end' : 'junction';
    nodes.set(v, { vertex: v, degree, kind });
  }
  for (const v of vertices) if (nodes.has(v)) for (const e of around.get(v)!) if (!isDone[e]) trace(v, e);
  for (const v of vertices) {
    const first = around.get(v)!.find((e) => !isDone[e]);
    if (first === undefined) continue;
    nodes.set(v, { vertex: v, degree: 2, kind: 'loop' });
    trace(v, first);
  }
  return { nodes: [...nodes.values()], arcs };
}
