import { edgeVertices, isBorderEdge } from '../mesh/index.js';
import type { SeamArc, SeamDraft, SeamRole } from '../seams/index.js';
import { findSeamArcs } from '../seams/index.js';
import { DisjointSet } from '../structures/index.js';
import type { Study } from './study-mesh.js';

/** Seams that were drawn to let go of stretch or to make disks, and may go where the artist wants none. */
const FREE_ROLES: ReadonlySet<SeamRole> = new Set(['opening', 'relief']);

/**
 * Takes back the seams that cross edges to be avoided, with all that only they lead to, where the charts are
 * disks without them. What they would save of stretch counts for nothing against the artist's word.
 */
export function spareAvoided(study: Study, draft: SeamDraft): void {
  if (!study.isAvoided.includes(1)) return;
  for (const arc of findSeamArcs(study.mesh, draft)) {
    if (
      !draft.isSeam[arc.edges[0]!] ||
      !FREE_ROLES.has(arc.role) ||
      !arc.edges.some((e) => study.isAvoided[e])
    )
      continue;
    const without = leaveOut(study, draft, arc);
    if (study.frames.at(without).topologies.every((chart) => chart.isDisk))
      draft.remove(listDropped(draft.isSeam, without));
  }
}

/** The draft's edges without an arc and without what hangs together with a collar or border only through it. */
function leaveOut({ mesh }: Study, draft: SeamDraft, arc: SeamArc): Uint8Array {
  const without = draft.isSeam.slice();
  for (const e of arc.edges) without[e] = 0;
  const joined = new DisjointSet(mesh.vertexCount);
  const isCut = (e: number) => without[e] === 1 || isBorderEdge(mesh, e);
  for (let e = 0; e < mesh.edgeCount; e++) if (isCut(e)) joined.union(...edgeVertices(mesh, e));
  const isHeld = new Uint8Array(mesh.vertexCount);
  for (let e = 0; e < mesh.edgeCount; e++)
    if (isCut(e) && (isBorderEdge(mesh, e) || !FREE_ROLES.has(draft.role(e))))
      isHeld[joined.find(edgeVertices(mesh, e)[0])] = 1;
  const ends = new Set([arc.vertices[0]!, arc.vertices[arc.vertices.length - 1]!].map((v) => joined.find(v)));
  // A shell that nothing holds is opened by its tree of seams, which must stay.
  if ([...ends].every((root) => !isHeld[root])) return without;
  for (let e = 0; e < mesh.edgeCount; e++) {
    if (!without[e]) continue;
    const root = joined.find(edgeVertices(mesh, e)[0]);
    if (ends.has(root) && !isHeld[root]) without[e] = 0;
  }
  return without;
}

function listDropped(before: Uint8Array, after: Uint8Array): number[] {
  const dropped: number[] = [];
  before.forEach((value, e) => {
    if (value && !after[e]) dropped.push(e);
  });
  return dropped;
}
