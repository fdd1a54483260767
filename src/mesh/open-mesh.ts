import { cutMesh } from './cut-mesh.js';
import type { Mesh } from './mesh.js';
import { numberEdges } from './number-edges.js';

/** A mesh whose seams have become borders. Faces and corners keep their numbers; its shells are the charts. */
export interface OpenedMesh {
  readonly mesh: Mesh;
  /** Edge of the uncut mesh for each edge of the opened one. */
  readonly edges: Int32Array;
}

/** Opens a mesh along the marked edges, so that whatever works on borders and shells works on seams and charts. */
export function openMesh(mesh: Mesh, isSeam: Uint8Array, cut = cutMesh(mesh, isSeam)): OpenedMesh {
  const { faceCharts, chartCount, cornerCutVertices, cutVertexCount } = cut;
  const { cornerCount } = mesh;
  const twin = mesh.twin.slice();
  for (let h = 0; h < cornerCount; h++) if (isSeam[mesh.halfEdgeEdges[h]!]) twin[h] = -1;
  const numbers = numberEdges(twin, cornerCutVertices, cutVertexCount);
  const vertexPoints = new Int32Array(cutVertexCount);
  for (let h = 0; h < cornerCount; h++)
    vertexPoints[cornerCutVertices[h]!] = mesh.vertexPoints[mesh.cornerVertices[h]!]!;
  return {
    mesh: {
      ...mesh,
      ...numbers,
      vertexCount: cutVertexCount,
      shellCount: chartCount,
      cornerVertices: cornerCutVertices,
      twin,
      vertexPoints,
      faceShells: faceCharts,
    },
    edges: numbers.edgeHalfEdges.map((h) => mesh.halfEdgeEdges[h]!),
  };
}

/** Border loops of a mesh as half-edges in order, surface on the left, by lowest half-edge. */
export function findBorderLoops(mesh: Mesh): Int32Array[] {
  const isWalked = new Uint8Array(mesh.cornerCount);
  const loops: Int32Array[] = [];
  for (let h = 0; h < mesh.cornerCount; h++) {
    if (mesh.twin[h]! >= 0 || isWalked[h]) continue;
    const loop: number[] = [];
    let g = h;
    while (!isWalked[g]) {
      isWalked[g] = 1;
      loop.push(g);
      g = mesh.next[g]!;
      while (mesh.twin[g]! >= 0) g = mesh.next[mesh.twin[g]!]!;
    }
    loops.push(Int32Array.from(loop));
  }
  return loops;
}
