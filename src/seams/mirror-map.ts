import type { Mesh, OpenedMesh } from '../mesh/index.js';
import { edgeVertices, headVertex, tailVertex } from '../mesh/index.js';
import { DisjointSet } from '../structures/index.js';

/** Which element lies opposite which across the mirror, -1 for none. Elements on the plane are their own partners. */
export interface MirrorMap {
  readonly vertexPartners: Int32Array;
  readonly edgePartners: Int32Array;
  readonly facePartners: Int32Array;
  /** Half-edge between the partners of a half-edge's ends, the other way round. */
  readonly halfEdgePartners: Int32Array;
  /** 1 for left of the plane, -1 for right, 0 on it or without a partner, per vertex. */
  readonly vertexSides: Int8Array;
}

/** What fields/findMirror tells: a plane and partners. */
export interface MirrorPartners extends Omit<MirrorMap, 'vertexSides'> {
  readonly point: readonly [number, number, number];
  readonly normal: readonly [number, number, number];
}

/** Adds to partners the sides that vertices lie on. */
export function buildMirrorMap(mesh: Mesh, mirror: MirrorPartners): MirrorMap {
  return { ...mirror, vertexSides: findSides(mesh, mirror) };
}

/**
 * Side of each vertex: a patch that the plane's vertices and edges leave together is on one side as a whole. Judged
 * vertex by vertex, what lies beside the middle of a turned head would come out on the wrong side.
 */
function findSides(mesh: Mesh, mirror: MirrorPartners): Int8Array {
  const { vertexPartners, edgePartners } = mirror;
  const isBeside = (v: number) => vertexPartners[v]! >= 0 && vertexPartners[v] !== v;
  const patches = new DisjointSet(mesh.vertexCount);
  for (let e = 0; e < mesh.edgeCount; e++) {
    const [a, b] = edgeVertices(mesh, e);
    if (edgePartners[e] !== e && isBeside(a) && isBeside(b)) patches.union(a, b);
  }
  const height = (v: number) => {
    const p = 3 * mesh.vertexPoints[v]!;
    return mirror.normal.reduce((sum, n, k) => sum + n * (mesh.points[p + k]! - mirror.point[k]!), 0);
  };
  const patchHeights = new Float64Array(mesh.vertexCount);
  for (let v = 0; v < mesh.vertexCount; v++) {
    if (isBeside(v)) patchHeights[patches.find(v)]! += height(v) - height(vertexPartners[v]!);
  }
  const vertexSides = new Int8Array(mesh.vertexCount);
  for (let v = 0; v < mesh.vertexCount; v++) {
    if (!isBeside(v)) continue;
    const [own, other] = [patches.find(v), patches.find(vertexPartners[v]!)];
    // A patch that reaches across the plane, as a ring round it does, has both sides.
    const lead =
      own === other ? height(v) - height(vertexPartners[v]!) : patchHeights[own]! - patchHeights[other]!;
    vertexSides[v] = lead > 0 || (lead === 0 && own < other) ? 1 : -1;
  }
  return vertexSides;
}

/** The same map on the mesh opened along mirrored seams: a vertex on a centre seam becomes a left and a right one. */
export function openMirrorMap(mirror: MirrorMap, uncut: Mesh, opened: OpenedMesh): MirrorMap {
  const { mesh } = opened;
  const vertexPartners = new Int32Array(mesh.vertexCount).fill(-1);
  const edgePartners = new Int32Array(mesh.edgeCount).fill(-1);
  const vertexSides = new Int8Array(mesh.vertexCount);
  for (let h = 0; h < mesh.cornerCount; h++) {
    const partner = mirror.halfEdgePartners[h]!;
    if (partner < 0) continue;
    vertexPartners[tailVertex(mesh, h)] = headVertex(mesh, partner);
    vertexPartners[headVertex(mesh, h)] = tailVertex(mesh, partner);
    edgePartners[mesh.halfEdgeEdges[h]!] = mesh.halfEdgeEdges[partner]!;
  }
  for (let h = 0; h < mesh.cornerCount; h++) {
    const v = mesh.cornerVertices[h]!;
    if (vertexPartners[v] === v || vertexPartners[v]! < 0) continue;
    const side = mirror.vertexSides[uncut.cornerVertices[h]!]!;
    if (side !== 0) vertexSides[v] = side;
    else if (vertexSides[v] === 0) vertexSides[v] = faceSide(mirror, uncut, mesh.cornerFaces[h]!);
  }
  return { ...mirror, vertexPartners, edgePartners, vertexSides };
}

/** Side of the plane that a face's corners lie on, for a vertex on the plane that a centre seam has split. */
function faceSide(mirror: MirrorMap, uncut: Mesh, f: number): -1 | 0 | 1 {
  let sum = 0;
  for (let c = uncut.faceOffsets[f]!; c < uncut.faceOffsets[f + 1]!; c++) {
    sum += mirror.vertexSides[uncut.cornerVertices[c]!]!;
  }
  return sum > 0 ? 1 : sum < 0 ? -1 : 0;
}
