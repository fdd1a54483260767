/** Quadratic forms of the faces of a mesh, in unknowns of its vertices and edges. */
export interface FaceElements {
  /** First element of each face, and the element count at the end. */
  readonly faceOffsets: Int32Array;
  /** Most unknowns of an element. */
  readonly elementSize: number;
  /** Unknowns of each element. */
  readonly sizes: Uint8Array;
  /**
   * Unknowns of the mesh that the element's are, elementSize per element: that of vertex v is v, that of edge e, if edges
   * have any, is vertexCount + e, and others follow.
   */
  readonly places: Int32Array;
  /** −1 where the unknown counts the other way in the element. */
  readonly signs: Int8Array;
  /** Lower triangle of each element's form, row by row, in as much room as elementSize takes. */
  readonly forms: Float64Array;
  readonly unknownCount: number;
}
