import type { EdgeId, Mesh } from '../mesh/index.js';

/** What a seam is for; see the vocabulary in docs/ARCHITECTURE.md. */
export type SeamRole = 'kept' | 'crease' | 'collar' | 'handle' | 'opening' | 'relief';

const ROLES: readonly SeamRole[] = ['kept', 'crease', 'collar', 'handle', 'opening', 'relief'];

/** A choice of seams in the making: which edges are cut, and what for. The first role given to an edge stays. */
export class SeamDraft {
  readonly isSeam: Uint8Array;
  /** Number of each edge's role; meaningful where the edge is cut. */
  readonly roleNumbers: Uint8Array;

  constructor(mesh: Mesh, from?: SeamDraft) {
    this.isSeam = from ? from.isSeam.slice() : new Uint8Array(mesh.edgeCount);
    this.roleNumbers = from ? from.roleNumbers.slice() : new Uint8Array(mesh.edgeCount);
  }

  add(edges: Iterable<EdgeId>, role: SeamRole): void {
    for (const e of edges) {
      if (this.isSeam[e]) continue;
      this.isSeam[e] = 1;
      this.roleNumbers[e] = ROLES.indexOf(role);
    }
  }

  remove(edges: Iterable<EdgeId>): void {
    for (const e of edges) this.isSeam[e] = 0;
  }

  role(e: EdgeId): SeamRole {
    return ROLES[this.roleNumbers[e]!]!;
  }
}
