import type { Vec3 } from '../math/index.js';

/** The bytes that a mesh was read from, kept so that it can be written back with other UVs. */
export interface StoredDocument {
  readonly name: string;
  readonly bytes: Uint8Array;
  /** Files that it names, such as the buffers of a .gltf. */
  readonly resources: Readonly<Record<string, Uint8Array>>;
}

/** An open mesh, in arrays that every worker can see. */
export interface StoredMesh {
  readonly id: string;
  readonly name: string;
  readonly points: Float64Array;
  readonly faceVertexCounts: Int32Array;
  readonly faceVertexIndices: Int32Array;
  readonly cornerUvs: Float64Array | undefined;
  readonly document: StoredDocument | undefined;
  /** Up and front as the document says; undefined for the usual ones. */
  readonly axes: { readonly up: Vec3; readonly front: Vec3 } | undefined;
  /** Metres in a unit as the document says; undefined when it says nothing. */
  readonly metresPerUnit: number | undefined;
}

/** A seam set as it is handed on to flattening and export. */
export interface StoredSet {
  readonly name: string;
  readonly seams: readonly StoredSeam[];
  readonly charts: readonly StoredChart[];
}

export interface StoredSeam {
  readonly edges: readonly (readonly [number, number])[];
  readonly role?: string | undefined;
  readonly part?: string | undefined;
  readonly side?: string | undefined;
  readonly length?: number | undefined;
  readonly exposure?: number | undefined;
  readonly reason?: string | undefined;
}

export interface StoredChart {
  readonly faces: Int32Array;
  readonly part?: string | undefined;
  readonly side?: string | undefined;
  readonly mirrorOf?: number | undefined;
}

export interface StoredProposal {
  readonly id: string;
  readonly mesh: string;
  /** The checked options, for `seams/revise`. */
  readonly options: Readonly<Record<string, unknown>>;
  /** Whether the surface was found to be its own mirror image. */
  readonly isMirrored: boolean;
  readonly sets: readonly StoredSet[];
}

/** Seams carried over from another mesh. */
export interface StoredCarried {
  readonly id: string;
  /** The mesh that they were carried to. */
  readonly mesh: string;
  readonly set: StoredSet;
  /** `up` and `front` of the proposal that they come from. */
  readonly options: Readonly<Record<string, unknown>>;
  /** Whether the surface of that proposal was its own mirror image. */
  readonly isMirrored: boolean;
}

/** A flattened chart, as `arrangeCharts` takes it. */
export interface StoredFlatChart extends StoredChart {
  readonly corners: Int32Array;
  readonly uvs: Float64Array;
  readonly surfaceArea: number;
}

export interface StoredFlat {
  readonly id: string;
  readonly mesh: string;
  readonly set: StoredSet;
  readonly charts: readonly StoredFlatChart[];
}

export interface StoredSheet {
  readonly id: string;
  readonly mesh: string;
  readonly set: StoredSet;
  readonly uvs: Float64Array;
  readonly resolution: number;
}

/** A copy of an array in memory that workers share, so that handing it to them copies nothing. */
export function shareArray<T extends Float64Array | Int32Array | Uint8Array>(source: T): T {
  if (typeof SharedArrayBuffer === 'undefined') return source;
  const Constructor = source.constructor as new (buffer: SharedArrayBuffer) => T;
  const shared = new Constructor(new SharedArrayBuffer(source.byteLength));
  shared.set(source);
  return shared;
}
