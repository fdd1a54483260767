import { listMembers } from '../structures/index.js';
import type { EdgeId, FaceId, HalfEdgeId, PointId, VertexId } from './ids.js';
import type { Mesh } from './mesh.js';

/** Vertex a half-edge leaves. */
export const tailVertex = (mesh: Mesh, h: HalfEdgeId): VertexId => mesh.cornerVertices[h]!;
/** Vertex a half-edge points to. */
export const headVertex = (mesh: Mesh, h: HalfEdgeId): VertexId => mesh.cornerVertices[mesh.next[h]!]!;

/** Whether the edge has a face on one side only. */
export const isBorderEdge = (mesh: Mesh, e: EdgeId): boolean => mesh.twin[mesh.edgeHalfEdges[e]!]! < 0;

/** Whether the vertex lies on a border. */
export const isBorderVertex = (mesh: Mesh, v: VertexId): boolean => mesh.twin[mesh.vertexHalfEdges[v]!]! < 0;

/** Half-edges leaving a vertex, counter-clockwise; on a border the last border edge only arrives and is not among them. */
export function outgoingHalfEdges(mesh: Mesh, v: VertexId): HalfEdgeId[] {
  const out: HalfEdgeId[] = [];
  const first = mesh.vertexHalfEdges[v]!;
  let h = first;
  do {
    out.push(h);
    h = mesh.twin[mesh.prev[h]!]!;
  } while (h >= 0 && h !== first);
  return out;
}

/** The half-edge from one vertex to another, or -1. */
export function findHalfEdge(mesh: Mesh, tail: VertexId | -1, head: VertexId | -1): HalfEdgeId | -1 {
  if (tail < 0 || head < 0) return -1;
  return outgoingHalfEdges(mesh, tail).find((h) => headVertex(mesh, h) === head) ?? -1;
}

/** Edges at a vertex, counter-clockwise. */
export function vertexEdges(mesh: Mesh, v: VertexId): EdgeId[] {
  const outgoing = outgoingHalfEdges(mesh, v);
  const edges = outgoing.map((h) => mesh.halfEdgeEdges[h]!);
  const last = mesh.prev[outgoing[outgoing.length - 1]!]!;
  if (mesh.twin[last]! < 0) edges.push(mesh.halfEdgeEdges[last]!);
  return edges;
}

/** Corners of every face in the topology's orientation, from the face's first. */
export function orientedCorners({ faceCount, faceOffsets, next }: Mesh): Int32Array {
  const corners = new Int32Array(next.length);
  for (let f = 0; f < faceCount; f++)
    for (let c = faceOffsets[f]!, h = c; c < faceOffsets[f + 1]!; c++, h = next[h]!) corners[c] = h;
  return corners;
}

/** A face at a vertex. */
export function vertexFace(mesh: Mesh, v: VertexId): FaceId {
  return mesh.cornerFaces[mesh.vertexHalfEdges[v]!]!;
}

/** The two vertices of an edge, along its lower half-edge. */
export function edgeVertices(mesh: Mesh, e: EdgeId): [VertexId, VertexId] {
  const h = mesh.edgeHalfEdges[e]!;
  return [tailVertex(mesh, h), headVertex(mesh, h)];
}

/** The caller's points at its two ends, in the same order. */
export function edgePoints(mesh: Mesh, e: EdgeId): [PointId, PointId] {
  const [a, b] = edgeVertices(mesh, e);
  return [mesh.vertexPoints[a]!, mesh.vertexPoints[b]!];
}

/** The two faces of an edge; the second is -1 on a border. */
export function edgeFaces(mesh: Mesh, e: EdgeId): [FaceId, FaceId | -1] {
  const h = mesh.edgeHalfEdges[e]!;
  const t = mesh.twin[h]!;
  return [mesh.cornerFaces[h]!, t < 0 ? -1 : mesh.cornerFaces[t]!];
}

/**
 * The vertices' edges as one flat list: edges of vertex v are `edges[offsets[v]] .. edges[offsets[v + 1] - 1]`,
 * `others` the vertex at each edge's far end.
 */
export interface VertexAdjacency {
  readonly offsets: Int32Array;
  readonly edges: Int32Array;
  readonly others: Int32Array;
}

const adjacencies = new WeakMap<Mesh, VertexAdjacency>();

/** The flat adjacency for searches over the whole mesh, built once. */
export function buildVertexAdjacency(mesh: Mesh): VertexAdjacency {
  let adjacency = adjacencies.get(mesh);
  if (!adjacency) {
    const ends = new Int32Array(2 * mesh.edgeCount);
    for (let e = 0; e < mesh.edgeCount; e++) ends.set(edgeVertices(mesh, e), 2 * e);
    const { starts: offsets, members } = listMembers(ends, mesh.vertexCount);
    adjacency = { offsets, edges: members.map((i) => i >> 1), others: members.map((i) => ends[i ^ 1]!) };
    adjacencies.set(mesh, adjacency);
  }
  return adjacency;
}
