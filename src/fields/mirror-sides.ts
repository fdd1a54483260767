import { dot, subtract, vec3At } from '../math/index.js';
import type { FaceId, Mesh, VertexId } from '../mesh/index.js';
import { edgeVertices } from '../mesh/index.js';
import { DisjointSet } from '../structures/index.js';
import type { MirrorPlane } from './mirror-plane.js';

/**
 * Side of each vertex: 1 along the plane's normal, -1 against it, 0 on it or without a partner. A patch that the plane's
 * vertices and edges leave together is on one side as a whole. Judged vertex by vertex, what lies beside the middle of a
 * turned head, or a leg that crosses in front of the other, would come out on the wrong side.
 */
export function findSides(
  mesh: Mesh,
  positions: Float64Array,
  { point, normal }: MirrorPlane,
  vertexPartners: Int32Array,
  edgePartners: Int32Array,
): Int8Array {
  const isBeside = (v: VertexId) => vertexPartners[v]! >= 0 && vertexPartners[v] !== v;
  const patches = new DisjointSet(mesh.vertexCount);
  for (let e = 0; e < mesh.edgeCount; e++) {
    const [a, b] = edgeVertices(mesh, e);
    if (edgePartners[e] !== e && isBeside(a) && isBeside(b)) patches.union(a, b);
  }
  const height = (v: VertexId) => dot(subtract(vec3At(positions, v), point), normal);
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

/** Sum of the sides that a face's vertices are on: above 0 along the plane's normal, below against it. */
export function sumSides({ faceOffsets, cornerVertices }: Mesh, vertexSides: Int8Array, f: FaceId): number {
  let sum = 0;
  for (let c = faceOffsets[f]!; c < faceOffsets[f + 1]!; c++) sum += vertexSides[cornerVertices[c]!]!;
  return sum;
}
