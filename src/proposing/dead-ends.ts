import type { EdgeId } from '../mesh/index.js';
import { edgeVertices, isBorderEdge } from '../mesh/index.js';
import type { SeamArc, SeamDraft } from '../seams/index.js';
import { findSeamArcs } from '../seams/index.js';
import { exposedLength } from './exposed-length.js';
import type { Study } from './study-mesh.js';

/** A stretch of seam that ends in the middle of a chart. */
export interface DeadEnd {
  readonly edges: readonly EdgeId[];
  /** Its mirror image where that is another dead end; else empty. */
  readonly twin: readonly EdgeId[];
  /** Exposed length of both, over the square root of the surface area. */
  readonly exposed: number;
}

/** Longer ones, as a share of the model's diagonal, open a limb. */
const LONG = 0.12;

/** Lists the dead ends that the charts would be disks without, but for those the artist asked for. */
export function findDeadEnds(study: Study, draft: SeamDraft): DeadEnd[] {
  const { mesh, mirror } = study;
  const isLoose = markLooseEnds(study, draft.isSeam);
  const arcs = findSeamArcs(mesh, draft).filter((arc) => couldGo(study, arc, isLoose));
  const numbers = new Map(arcs.flatMap((arc, i) => arc.edges.map((e) => [e, i])));
  const ends: DeadEnd[] = [];
  for (const [i, arc] of arcs.entries()) {
    const images = arc.edges.map((e) => mirror?.edgePartners[e] ?? -1);
    const other = numbers.get(images[0]!) ?? -1;
    const isTwin =
      arcs[other]?.edges.length === images.length && images.every((e) => numbers.get(e) === other);
    if (isTwin && other < i) continue;
    const twin = isTwin && other !== i ? images : [];
    ends.push({ edges: arc.edges, twin, exposed: exposedLength(study, [...arc.edges, ...twin]) });
  }
  return ends;
}

/**
 * Whether an arc ends in the middle of a chart and was drawn only to let go of stretch. One that stands alone opens a
 * shell, and one that is long opens a limb, which always pays.
 */
function couldGo({ edgeLengths }: Study, { role, edges, vertices }: SeamArc, isLoose: Uint8Array): boolean {
  return (
    (role === 'relief' || role === 'opening') &&
    isLoose[vertices[0]!] !== isLoose[vertices.at(-1)!] &&
    edges.reduce((sum, e) => sum + edgeLengths[e]!, 0) <= LONG
  );
}

/** 1 per vertex at which just one seam ends, and no border passes. */
function markLooseEnds({ mesh }: Study, isSeam: Uint8Array): Uint8Array {
  const isLoose = new Uint8Array(mesh.vertexCount);
  const isMet = new Uint8Array(mesh.vertexCount);
  for (let e = 0; e < mesh.edgeCount; e++) {
    if (!isSeam[e] && !isBorderEdge(mesh, e)) continue;
    for (const v of edgeVertices(mesh, e)) {
      isLoose[v] = Number(!isMet[v]);
      isMet[v] = 1;
    }
  }
  return isLoose;
}
