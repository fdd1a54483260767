import type { Mesh } from '../mesh/index.js';
import { headVertex, tailVertex } from '../mesh/index.js';

/**
 * A hash per vertex of the topology within `rounds` edges round it, the same for mirrored neighbourhoods and
 * whatever the order of vertices and faces: colour refinement over edges and faces.
 */
export function computeVertexSignatures(mesh: Mesh, rounds: number): Int32Array {
  let signatures = new Int32Array(mesh.vertexCount).fill(1);
  for (let round = 0; round < rounds; round++) {
    const sums = new Int32Array(mesh.vertexCount);
    for (let e = 0; e < mesh.edgeCount; e++) {
      const h = mesh.edgeHalfEdges[e]!;
      const a = tailVertex(mesh, h);
      const b = headVertex(mesh, h);
      const kind = mesh.twin[h]! < 0 ? 0x51ed270b : 0x2545f491;
      sums[a] = (sums[a]! + mix(signatures[b]! ^ kind)) | 0;
      sums[b] = (sums[b]! + mix(signatures[a]! ^ kind)) | 0;
    }
    for (let f = 0; f < mesh.faceCount; f++) {
      const first = mesh.faceOffsets[f]!;
      const end = mesh.faceOffsets[f + 1]!;
      let ring = end - first;
      for (let c = first; c < end; c++)
        ring = (ring + mix(signatures[mesh.cornerVertices[c]!]! ^ 0x3c6ef372)) | 0;
      const share = mix(ring);
      for (let c = first; c < end; c++) {
        const v = mesh.cornerVertices[c]!;
        sums[v] = (sums[v]! + share) | 0;
      }
    }
    for (let v = 0; v < mesh.vertexCount; v++)
      sums[v] = mix(sums[v]! ^ Math.imul(signatures[v]!, 0x9e3779b1));
    signatures = sums;
  }
  return signatures;
}

/** Finaliser of a 32-bit hash: every input bit reaches every output bit. */
export function mix(value: number): number {
  let x = value | 0;
  x = Math.imul(x ^ (x >>> 16), 0x85ebca6b);
  x = Math.imul(x ^ (x >>> 13), 0xc2b2ae35);
  return x ^ (x >>> 16);
}
