import type { SeamEdges } from '../mesh/index.js';

export type MeshFormat = 'obj' | 'gltf' | 'glb' | 'usda' | 'ply' | 'json';

/** Faces that a file names together. */
export interface FaceGroup {
  readonly name: string;
  /** What the file means by it: a group, an object, a material, or a subset of faces. */
  readonly kind: 'group' | 'object' | 'material' | 'subset';
  /** Ascending face indices. */
  readonly faces: Int32Array;
}

/** UVs stored apart from the corners that use them. */
export interface IndexedUvs {
  /** u, v pairs. */
  readonly values: Float64Array;
  /** Index of a pair for every corner, or -1 where the corner has none. */
  readonly cornerIndices: Int32Array;
}

/** The OpenUSD mesh arrays that a reader makes; see `MeshInput`. */
export interface MeshArrays {
  readonly points: Float64Array;
  readonly faceVertexCounts: Int32Array;
  readonly faceVertexIndices: Int32Array;
}

/** A file that has been read: its mesh, and all that is needed to write it back with other UVs. */
export interface SourceDocument {
  readonly format: MeshFormat;
  /** All surfaces of the file as one mesh, in the file's order. */
  readonly mesh: MeshArrays;
  readonly faceGroups: readonly FaceGroup[];
  /** The file's own UVs, lower-left origin: 2 × cornerCount, NaN where a corner has none. */
  readonly cornerUvs?: Float64Array;
  /** Seams that the file itself names, as pairs of point indices. */
  readonly seams?: readonly SeamEdges[];
  /** Axis that points up, where the file says so. */
  readonly upAxis?: 'x' | 'y' | 'z';
  /** Metres of one model unit, where the file says so. */
  readonly metersPerUnit?: number;
  /** One sentence each about what was read leniently or cannot be kept. */
  readonly warnings: readonly string[];
}
