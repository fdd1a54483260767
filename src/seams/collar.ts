import type { EdgePath } from '../graph/index.js';
import { buildSpokes, FlowSearch } from '../graph/index.js';
import type { EdgeId, FaceId, Mesh, VertexId } from '../mesh/index.js';
import { edgeFaces, edgeVertices, isBorderEdge, openMesh } from '../mesh/index.js';
import { appendTo, DisjointSet } from '../structures/index.js';
import type { SeamGround } from './connect-charts.js';

/** A tube-shaped stretch of surface round a joint, within which a collar is sought. */
export interface CollarBand {
  /** Faces of the band. */
  readonly faces: readonly FaceId[];
  /** Whether a face lies on the branch's side of the band; band faces do not count. */
  readonly isBranch: (f: FaceId) => boolean;
}

/**
 * The cheapest closed loop round the band: the band is opened along a line from the branch to the rest, and
 * the loop is the best path from one lip of the opening to the same place on the other. Loops follow edge
 * flow, since turning costs. Undefined when the band is not a tube.
 */
export function findCollar(ground: SeamGround, band: CollarBand): EdgePath | undefined {
  const central = ground.mirror && findCentralCollar(ground, band);
  return central ?? findLoop(ground, band);
}

/** Edges between the band and what lies beyond it, by side. */
function bandRims(
  mesh: Mesh,
  band: CollarBand,
): { isInBand: Uint8Array; branch: Set<VertexId>; rest: Set<VertexId> } {
  const isInBand = new Uint8Array(mesh.faceCount);
  for (const f of band.faces) isInBand[f] = 1;
  const branch = new Set<VertexId>();
  const rest = new Set<VertexId>();
  for (const f of band.faces) {
    for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++) {
      const t = mesh.twin[h]!;
      if (t < 0 || isInBand[mesh.cornerFaces[t]!]) continue;
      const rim = band.isBranch(mesh.cornerFaces[t]!) ? branch : rest;
      rim.add(mesh.cornerVertices[h]!);
      rim.add(mesh.cornerVertices[mesh.next[h]!]!);
    }
  }
  return { isInBand, branch, rest };
}

const isBandEdge = (mesh: Mesh, isInBand: Uint8Array, e: EdgeId): boolean => {
  const [f, g] = edgeFaces(mesh, e);
  return isInBand[f] === 1 || (g >= 0 && isInBand[g] === 1);
};

/** A band across the mirror plane: half a loop on the left from the plane in front to the plane behind, and its image. */
function findCentralCollar(ground: SeamGround, band: CollarBand): EdgePath | undefined {
  const { mesh } = ground;
  const { vertexPartners, edgePartners, vertexSides } = ground.mirror!;
  const { isInBand } = bandRims(mesh, band);
  const planeVertices = new Set<VertexId>();
  for (const f of band.faces) {
    for (let c = mesh.faceOffsets[f]!; c < mesh.faceOffsets[f + 1]!; c++) {
      const v = mesh.cornerVertices[c]!;
      if (vertexPartners[v] === v) planeVertices.add(v);
    }
  }
  const chains = planeChains(mesh, planeVertices);
  if (chains.length !== 2) return undefined;
  const [sources, targets] = chains as [VertexId[], VertexId[]];
  const goal = new Set(targets);
  const search = new FlowSearch(buildSpokes(mesh, ground.cornerAngles), ground.edgeCosts);
  const half = search.find({
    sources,
    isTarget: (v) => goal.has(v),
    isBlocked: (v) => vertexSides[v] !== 1,
    isEdgeBlocked: (e) => edgePartners[e]! < 0 || isBorderEdge(mesh, e) || !isBandEdge(mesh, isInBand, e),
  });
  if (!half) return undefined;
  const back = half.vertices
    .slice(0, -1)
    .reverse()
    .map((v) => vertexPartners[v]!);
  return {
    edges: [
      ...half.edges,
      ...half.edges
        .slice()
        .reverse()
        .map((e) => edgePartners[e]!),
    ],
    vertices: [...half.vertices, ...back],
    cost: 2 * half.cost,
  };
}

/** Connected runs of plane vertices. */
function planeChains(mesh: Mesh, planeVertices: Set<VertexId>): VertexId[][] {
  const joined = new DisjointSet(mesh.vertexCount);
  for (let e = 0; e < mesh.edgeCount; e++) {
    const [a, b] = edgeVertices(mesh, e);
    if (planeVertices.has(a) && planeVertices.has(b)) joined.union(a, b);
  }
  const chains = new Map<number, VertexId[]>();
  for (const v of planeVertices) appendTo(chains, joined.find(v), v);
  return [...chains.values()];
}

function findLoop(ground: SeamGround, band: CollarBand): EdgePath | undefined {
  const { mesh, edgeCosts, cornerAngles } = ground;
  const { isInBand, branch, rest } = bandRims(mesh, band);
  if (branch.size === 0 || rest.size === 0) return undefined;
  const isOutside = (e: EdgeId) => isBorderEdge(mesh, e) || !isBandEdge(mesh, isInBand, e);
  const meridian = new FlowSearch(buildSpokes(mesh, cornerAngles), edgeCosts).find({
    sources: branch,
    isTarget: (v) => rest.has(v),
    isEdgeBlocked: isOutside,
  });
  if (!meridian) return undefined;
  const isSeam = new Uint8Array(mesh.edgeCount);
  for (const e of meridian.edges) isSeam[e] = 1;
  const opened = openMesh(mesh, isSeam);
  const copies = new Map<VertexId, VertexId[]>(meridian.vertices.map((v) => [v, []]));
  for (let c = 0; c < mesh.cornerCount; c++) {
    const list = copies.get(mesh.cornerVertices[c]!);
    if (list && !list.includes(opened.mesh.cornerVertices[c]!)) list.push(opened.mesh.cornerVertices[c]!);
  }
  const search = new FlowSearch(
    buildSpokes(opened.mesh, cornerAngles),
    Float64Array.from(opened.edges, (e) => edgeCosts[e]!),
  );
  // A loop must not slip round an end of the line, where the two lips meet.
  const ends = new Set([meridian.vertices[0]!, meridian.vertices.at(-1)!].flatMap((v) => copies.get(v)!));
  let best: EdgePath | undefined;
  for (const v of meridian.vertices) {
    const lips = copies.get(v)!;
    if (lips.length !== 2 || ends.has(lips[0]!)) continue;
    const path = search.find({
      sources: [lips[0]!],
      isTarget: (w) => w === lips[1],
      isBlocked: (w) => ends.has(w),
      isEdgeBlocked: (e) => isBorderEdge(opened.mesh, e) || isOutside(opened.edges[e]!),
      ...(best && { maxCost: best.cost }),
    });
    if (path && (!best || path.cost < best.cost)) best = path;
  }
  if (!best) return undefined;
  const toUncut = new Map<VertexId, VertexId>();
  for (let c = 0; c < mesh.cornerCount; c++)
    toUncut.set(opened.mesh.cornerVertices[c]!, mesh.cornerVertices[c]!);
  return {
    edges: best.edges.map((e) => opened.edges[e]!),
    vertices: best.vertices.map((v) => toUncut.get(v)!),
    cost: best.cost,
  };
}
