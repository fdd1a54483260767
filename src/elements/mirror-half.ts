import type { FaceId, Mesh } from '../mesh/index.js';

/**
 * Which element of a mesh lies opposite which across its mirror plane, -1 for none; those on the plane are their own
 * partners.
 */
export interface MirroredElements {
  readonly vertexPartners: Int32Array;
  readonly edgePartners: Int32Array;
  readonly facePartners: Int32Array;
}

/**
 * Faces on one side of the mirror plane, which runs along edges, and all of the pieces that have no image; undefined
 * where a piece of the surface is mirrored in part, or across its faces.
 */
export function findMirrorHalf(mesh: Mesh, mirror: MirroredElements): Int32Array | undefined {
  const { facePartners, edgePartners } = mirror;
  const isTaken = new Uint8Array(mesh.faceCount);
  const isImage = new Uint8Array(mesh.faceCount);
  for (let first = 0; first < mesh.faceCount; first++) {
    if (isTaken[first] || isImage[first]) continue;
    const isLone = facePartners[first]! < 0;
    const found: FaceId[] = [first];
    isTaken[first] = 1;
    for (const f of found) {
      const image = facePartners[f]!;
      if (image < 0 !== isLone || (image >= 0 && isTaken[image])) return undefined;
      if (image >= 0) isImage[image] = 1;
      for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++) {
        const edge = mesh.halfEdgeEdges[h]!;
        if (edgePartners[edge]! < 0 !== isLone) return undefined;
        if (mesh.twin[h]! < 0 || edgePartners[edge] === edge) continue;
        const g = mesh.cornerFaces[mesh.twin[h]!]!;
        if (isImage[g]) return undefined;
        if (isTaken[g]) continue;
        isTaken[g] = 1;
        found.push(g);
      }
    }
  }
  return Int32Array.from(isTaken.keys()).filter((f) => isTaken[f]);
}
