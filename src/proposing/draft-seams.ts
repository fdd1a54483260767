import { throwIfAborted } from '../errors.js';
import type { EdgeId, VertexId } from '../mesh/index.js';
import { edgeVertices, openMesh, vertexFace } from '../mesh/index.js';
import type { PartName } from '../regions/index.js';
import type { SeamRole } from '../seams/index.js';
import { connectCharts, cutHandles, SeamDraft } from '../seams/index.js';
import type { CollarTable } from './place-collars.js';
import { chooseCollars } from './place-collars.js';
import { pruneSeams } from './prune-seams.js';
import { spareAvoided } from './spare-avoided.js';
import type { Strategy } from './strategies.js';
import type { Study } from './study-mesh.js';
import { sideGround } from './study-mesh.js';
import { tearToLimit } from './tear-open.js';
import { withImage } from './with-image.js';

const RELIEF_ROUNDS = 12;
const SPOTS_PER_ROUND = 16;
const REPAIR_ROUNDS = 6;

/**
 * Draws one seam set: collars, then openings until every chart is a disk, then reliefs where scale peaks; of these what
 * is worth it stays, and charts are torn open further where that is worth it or brings them below the stretch limit.
 */
export function draftSeams(
  study: Study,
  collars: CollarTable,
  strategy: Strategy,
  stretchLimit: number,
  signal?: AbortSignal,
): SeamDraft {
  if (strategy.trunk === 'sides') study = { ...study, ground: sideGround(study) };
  const base = new SeamDraft(study.mesh);
  base.add(study.kept, 'kept');
  const isFree = (e: EdgeId) => !study.isAvoided[e];
  const corners = new Set(strategy.unfolds ? study.foldCorners : []);
  const shellOf = (v: VertexId) => study.mesh.faceShells[vertexFace(study.mesh, v)]!;
  const unfolded = new Set([...corners].map(shellOf));
  const isCreased = (e: EdgeId) => isFree(e) && !unfolded.has(shellOf(edgeVertices(study.mesh, e)[0]));
  base.add(study.creases.filter(isCreased), 'crease');
  for (const collar of chooseCollars(study, collars, strategy.takenOff))
    if (collar.every(isFree)) base.add(collar, 'collar');
  const isBarred = markBarred(study);
  const isUnreachable = markUnreachable(study, isBarred);
  const openings = [...findTerminals(study, strategy), ...corners].filter((v) => !isBarred[v]);
  const reliefs = new Set<VertexId>();
  const roleAt = (v: VertexId) => (reliefs.has(v) ? 'relief' : corners.has(v) ? 'crease' : 'opening');
  let draft = new SeamDraft(study.mesh, base);
  growSeams(study, draft, strategy, openings, roleAt);
  for (let round = 0; round < RELIEF_ROUNDS; round++) {
    throwIfAborted(signal);
    const spots = reliefTerminals(study, draft, strategy, isUnreachable).filter((v) => !reliefs.has(v));
    if (spots.length === 0) break;
    for (const v of spots) reliefs.add(v);
    growSeams(study, draft, strategy, spots, roleAt);
  }
  // Grown anew with all ends known, the tree needs no detours: what was added last may be the better stem.
  draft = new SeamDraft(study.mesh, base);
  growSeams(study, draft, strategy, [...openings, ...reliefs], roleAt);
  spareAvoided(study, draft);
  pruneSeams(study, draft, strategy.worth);
  const grow = (at: SeamDraft, ends: readonly VertexId[]) => {
    throwIfAborted(signal);
    growSeams(study, at, strategy, ends, () => 'relief');
  };
  const torn = tearToLimit(study, draft, { worth: strategy.worth, isUnreachable, grow }, stretchLimit);
  cutAlike(study, torn, strategy);
  return torn;
}

/** Cuts on every sheet what is cut on one, until that needs no other cut. */
function cutAlike(study: Study, draft: SeamDraft, strategy: Strategy): void {
  for (let isDone = false; !isDone; ) {
    isDone = true;
    for (const group of study.coincidentEdges) {
      const first = group.find((e) => draft.isSeam[e]);
      if (first === undefined || group.every((e) => draft.isSeam[e])) continue;
      draft.add(group, draft.role(first));
      isDone = false;
    }
    if (!isDone) openDisks(study, draft, strategy);
  }
}

/** Grows seams to the terminals and opens what is still no disk; where a path ends says what it is. */
function growSeams(
  study: Study,
  draft: SeamDraft,
  strategy: Strategy,
  terminals: readonly VertexId[],
  roleAt: (v: VertexId) => SeamRole,
): void {
  for (const path of connectCharts(study.ground, draft.isSeam, { terminals, trunk: strategy.trunk })) {
    draft.add(path.edges, roleAt(path.vertices.at(-1)!));
  }
  openDisks(study, draft, strategy);
}

/** Cuts handles and joins borders until every chart is a disk. */
export function openDisks(study: Study, draft: SeamDraft, strategy: Pick<Strategy, 'trunk'>): void {
  const { mesh, ground, frames } = study;
  for (let round = 0; round < REPAIR_ROUNDS; round++) {
    if (frames.at(draft.isSeam).topologies.every((chart) => chart.isDisk)) return;
    const opened = openMesh(mesh, draft.isSeam);
    const costs = Float64Array.from(opened.edges, (e) => ground.edgeCosts[e]!);
    draft.add(
      cutHandles(opened.mesh, costs).map((e) => opened.edges[e]!),
      'handle',
    );
    for (const path of connectCharts(ground, draft.isSeam, { trunk: strategy.trunk }))
      draft.add(path.edges, 'opening');
  }
}

/** The most strained vertices of the charts, with their mirror images. */
function reliefTerminals(
  study: Study,
  draft: SeamDraft,
  strategy: Strategy,
  isUnreachable: Uint8Array,
): VertexId[] {
  const { reliefFinder, frames } = study;
  const terminals = new Set<VertexId>();
  const spots = reliefFinder
    .find(frames.at(draft.isSeam), strategy.reliefProminence)
    .filter(({ area }) => area >= strategy.smallestRelief * study.area);
  for (const { vertex } of spots.slice(0, SPOTS_PER_ROUND))
    if (!isUnreachable[vertex]) for (const v of withImage(study, vertex)) terminals.add(v);
  return [...terminals];
}

/** 1 per vertex that no edge leads to but those to be avoided. */
function markBarred({ mesh, isAvoided }: Study): Uint8Array {
  const isBarred = new Uint8Array(mesh.vertexCount).fill(1);
  for (let e = 0; e < mesh.edgeCount; e++)
    if (!isAvoided[e]) for (const v of edgeVertices(mesh, e)) isBarred[v] = 0;
  return isBarred;
}

/** Vertices a relief must not end in: what is looked at first, pockets that only the face leads to, what is barred. */
function markUnreachable({ mesh, parts, posture }: Study, isBarred: Uint8Array): Uint8Array {
  const isUnreachable = isBarred.slice();
  mesh.cornerVertices.forEach((v, c) => {
    const f = mesh.cornerFaces[c]!;
    if (posture.isShown[f] || POCKETS.has(parts.parts[parts.faceParts[f]!]!.name)) isUnreachable[v] = 1;
  });
  return isUnreachable;
}

const POCKETS: ReadonlySet<PartName> = new Set(['socket', 'mouth', 'nostril', 'pocket']);

/**
 * Places openings must reach: the crown, or the chin of a prone body, the crotch where the trunk is opened along its
 * middle, and the tips of the fingers. Where no plane leads down from the crown, the rearmost of the head is one, too.
 */
function findTerminals(study: Study, strategy: Strategy): VertexId[] {
  const { mesh, parts, mirror, posture } = study;
  const terminals = new Set<VertexId>();
  for (const part of parts.parts)
    if (part.name === 'finger' && part.tip >= 0) for (const v of withImage(study, part.tip)) terminals.add(v);
  const height = (v: VertexId) => mesh.points[3 * mesh.vertexPoints[v]! + 1]!;
  const depth = (v: VertexId) => mesh.points[3 * mesh.vertexPoints[v]! + 2]!;
  const rank = (v: VertexId) => (posture.isProne ? posture.heading * depth(v) : height(v));
  // Where there is no plane, only a head has an end.
  const isHeadless = mirror && !parts.parts.some(({ name }) => name === 'head');
  let headEnd = -1;
  let nape = -1;
  let crotch = -1;
  mesh.cornerVertices.forEach((v, c) => {
    if (mirror && mirror.vertexPartners[v] !== v) return;
    const f = mesh.cornerFaces[c]!;
    const { name } = parts.parts[parts.faceParts[f]!]!;
    const isHead = (name === 'head' || isHeadless) && !(posture.isProne && posture.isShown[f]);
    if (isHead && (headEnd < 0 || rank(v) > rank(headEnd))) headEnd = v;
    if (isHead && !mirror && !posture.isProne && (nape < 0 || depth(v) < depth(nape))) nape = v;
    const isTrunk = mirror && (name === 'torso' || name === 'leg');
    if (isTrunk && (crotch < 0 || height(v) < height(crotch))) crotch = v;
  });
  if (strategy.trunk !== 'centre') crotch = -1;
  for (const v of [headEnd, nape, crotch]) if (v >= 0) terminals.add(v);
  return [...terminals];
}
