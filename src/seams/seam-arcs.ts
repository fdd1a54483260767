import type { EdgeId, Mesh, VertexId } from '../mesh/index.js';
import { buildVertexAdjacency, edgeVertices, isBorderEdge, isBorderVertex } from '../mesh/index.js';
import type { SeamDraft, SeamRole } from './seam-draft.js';

/** A stretch of seam between junctions, with one role from end to end. */
export interface SeamArc {
  readonly role: SeamRole;
  readonly edges: readonly EdgeId[];
  /** Vertices in order; the first is repeated at the end of a closed arc. */
  readonly vertices: readonly VertexId[];
  readonly isClosed: boolean;
}

/** Splits a draft into arcs: at ends, junctions, borders and where the role changes. Linear. */
export function findSeamArcs(mesh: Mesh, draft: SeamDraft): SeamArc[] {
  const { offsets, edges, others } = buildVertexAdjacency(mesh);
  const isCut = (e: EdgeId) => draft.isSeam[e] === 1 && !isBorderEdge(mesh, e);
  const seamEdgesAt = (v: VertexId): EdgeId[] => {
    const list: EdgeId[] = [];
    for (let i = offsets[v]!; i < offsets[v + 1]!; i++) if (isCut(edges[i]!)) list.push(edges[i]!);
    return list;
  };
  const isBreak = (v: VertexId): boolean => {
    const list = seamEdgesAt(v);
    return list.length !== 2 || draft.role(list[0]!) !== draft.role(list[1]!) || isBorderVertex(mesh, v);
  };
  const farEnd = (v: VertexId, e: EdgeId): VertexId => {
    for (let i = offsets[v]!; i < offsets[v + 1]!; i++) if (edges[i] === e) return others[i]!;
    return v;
  };
  const isTaken = new Uint8Array(mesh.edgeCount);
  const walk = (start: VertexId, first: EdgeId): SeamArc => {
    const chain = [first];
    const vertices = [start, farEnd(start, first)];
    isTaken[first] = 1;
    for (let v = vertices[1]!; v !== start && !isBreak(v); ) {
      const [a, b] = seamEdgesAt(v);
      const next = a === chain[chain.length - 1] ? b! : a!;
      chain.push(next);
      isTaken[next] = 1;
      v = farEnd(v, next);
      vertices.push(v);
    }
    return {
      role: draft.role(first),
      edges: chain,
      vertices,
      isClosed: vertices[0] === vertices[vertices.length - 1],
    };
  };
  const arcs: SeamArc[] = [];
  const breaks = new Set<VertexId>();
  for (let e = 0; e < mesh.edgeCount; e++) {
    if (isCut(e)) for (const v of edgeVertices(mesh, e)) if (isBreak(v)) breaks.add(v);
  }
  for (const v of breaks) for (const e of seamEdgesAt(v)) if (!isTaken[e]) arcs.push(walk(v, e));
  for (let e = 0; e < mesh.edgeCount; e++) {
    if (isCut(e) && !isTaken[e]) arcs.push(walk(edgeVertices(mesh, e)[0], e));
  }
  return arcs;
}
