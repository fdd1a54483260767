/** A polygon mesh in the arrays of an OpenUSD `Mesh`: flat, in the caller's own indexing. */
export interface MeshInput {
  /** xyz of every point, 3 × pointCount numbers in model units. */
  readonly points: ArrayLike<number>;
  /** Number of corners of each face, each at least 3. */
  readonly faceVertexCounts: ArrayLike<number>;
  /** Point index of each corner, face after face. */
  readonly faceVertexIndices: ArrayLike<number>;
}

/** What was mended while building the topology; the caller's arrays are never changed. */
export interface Repair {
  readonly kind: RepairKind;
  /** One sentence for a person. */
  readonly message: string;
  /** What `elements` counts. */
  readonly element: 'point' | 'face' | 'edge';
  /** Indices of the elements; an edge is given as two consecutive point indices. */
  readonly elements: readonly number[];
}

export type RepairKind =
  | 'welded-points'
  | 'unused-point'
  | 'zero-area-face'
  | 'collapsed-face'
  | 'duplicate-face'
  | 'non-manifold-edge'
  | 'flipped-neighbour'
  | 'one-sided-loop'
  | 'inside-out'
  | 'pinched-vertex';

/**
 * Half-edge topology of an n-gon mesh in typed arrays.
 *
 * A half-edge has the id of the corner it leaves, so corner, half-edge and position in the caller's
 * faceVertexIndices are one number. `next` runs round the face in the orientation all its neighbours
 * agree on, which is against the caller's order where `faceFlipped` is 1.
 */
export interface Mesh {
  /** xyz of the caller's points, 3 × pointCount. */
  readonly points: Float64Array;
  readonly pointCount: number;
  readonly faceCount: number;
  readonly cornerCount: number;
  readonly vertexCount: number;
  readonly edgeCount: number;
  readonly shellCount: number;
  /** First corner of each face, and the corner count at the end: faceCount + 1. */
  readonly faceOffsets: Int32Array;
  /** The caller's faceVertexIndices. */
  readonly cornerPoints: Int32Array;
  /** Topological vertex of each corner. */
  readonly cornerVertices: Int32Array;
  readonly cornerFaces: Int32Array;
  /** Next and previous half-edge round the face, in the agreed orientation. */
  readonly next: Int32Array;
  readonly prev: Int32Array;
  /** The opposite half-edge, or -1 on a border. */
  readonly twin: Int32Array;
  readonly halfEdgeEdges: Int32Array;
  /** The lower half-edge of each edge. */
  readonly edgeHalfEdges: Int32Array;
  /** An outgoing half-edge of each vertex; on a border the first one in counter-clockwise order. */
  readonly vertexHalfEdges: Int32Array;
  /** The lowest caller's point of each vertex. */
  readonly vertexPoints: Int32Array;
  readonly faceShells: Int32Array;
  /** 1 where the topology runs against the caller's corner order. */
  readonly faceFlipped: Uint8Array;
  readonly repairs: readonly Repair[];
  /** Diagonal of the bounding box of the used points, in model units; tolerances are relative to it. */
  readonly diagonal: number;
}
