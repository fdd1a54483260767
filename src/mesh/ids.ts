// Ids are plain numbers with a flavour, so that a signature says which index space it wants.
/** Index of a caller's point. */
export type PointId = number & { readonly __id?: 'point' };
/** Index of a topological vertex: welded points, split where faces only touch at a corner. */
export type VertexId = number & { readonly __id?: 'vertex' };
/** Index of a caller's face. */
export type FaceId = number & { readonly __id?: 'face' };
/** Index into the caller's faceVertexIndices. */
export type CornerId = number & { readonly __id?: 'corner' };
/** A half-edge has the id of the corner it leaves. */
export type HalfEdgeId = CornerId;
/** Index of an undirected edge of the topology. */
export type EdgeId = number & { readonly __id?: 'edge' };
