import { traceSeams } from '../graph/index.js';
import type { EdgeId, Mesh, VertexId } from '../mesh/index.js';
import type { SeamDraft, SeamRole } from './seam-draft.js';

/** A stretch of seam between junctions, with one role from end to end. */
export interface SeamArc {
  readonly role: SeamRole;
  readonly edges: readonly EdgeId[];
  /** Vertices in order; the first is repeated at the end of a closed arc. */
  readonly vertices: readonly VertexId[];
}

/** Splits a draft into arcs: at ends, junctions, borders and where the role changes. Linear. */
export function findSeamArcs(mesh: Mesh, draft: SeamDraft): SeamArc[] {
  return traceSeams(mesh, draft.isSeam, draft.roleNumbers).arcs.map((arc) => ({
    role: draft.role(arc.edges[0]!),
    edges: [...arc.edges],
    vertices: [...arc.vertices],
  }));
}
