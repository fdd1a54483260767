/** Edges of a half-edge structure in the order of their lower half-edges, and a half-edge of each vertex. */
export interface EdgeNumbers {
  readonly edgeCount: number;
  readonly halfEdgeEdges: Int32Array;
  /** The lower half-edge of each edge. */
  readonly edgeHalfEdges: Int32Array;
  /** An outgoing half-edge of each vertex; on a border the first one in counter-clockwise order. */
  readonly vertexHalfEdges: Int32Array;
}

export function numberEdges(twin: Int32Array, cornerVertices: Int32Array, vertexCount: number): EdgeNumbers {
  const halfEdgeEdges = new Int32Array(twin.length);
  const edgeHalfEdges = new Int32Array(twin.length);
  const vertexHalfEdges = new Int32Array(vertexCount).fill(-1);
  let edgeCount = 0;
  for (let h = 0; h < twin.length; h++) {
    const v = cornerVertices[h]!;
    if (twin[h]! < 0 || vertexHalfEdges[v]! < 0) vertexHalfEdges[v] = h;
    if (twin[h]! >= 0 && twin[h]! < h) halfEdgeEdges[h] = halfEdgeEdges[twin[h]!]!;
    else {
      halfEdgeEdges[h] = edgeCount;
      edgeHalfEdges[edgeCount++] = h;
    }
  }
  return { edgeCount, halfEdgeEdges, edgeHalfEdges: edgeHalfEdges.slice(0, edgeCount), vertexHalfEdges };
}
