import { sumSides } from '../fields/index.js';
import type { Mesh, OpenedMesh } from '../mesh/index.js';
import { headVertex, tailVertex } from '../mesh/index.js';

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
    // On the plane and split by a centre seam, it is where its face is.
    else if (vertexSides[v] === 0)
      vertexSides[v] = Math.sign(sumSides(uncut, mirror.vertexSides, mesh.cornerFaces[h]!));
  }
  return { ...mirror, vertexPartners, edgePartners, vertexSides };
}
