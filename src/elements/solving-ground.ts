import type { Mesh } from '../mesh/index.js';
import { edgeVertices } from '../mesh/index.js';
import type { FaceTree } from './face-tree.js';
import { splitFaces } from './face-tree.js';
import type { MirroredElements } from './mirror-half.js';
import { findMirrorHalf } from './mirror-half.js';

/** The faces of a mesh that are solved for. */
export interface SolvingGround {
  readonly mesh: Mesh;
  readonly tree: FaceTree;
  /** The face, and the vertex, that stands for each: itself or its mirror image. */
  readonly faceStandIns: Int32Array;
  readonly vertexStandIns: Int32Array;
  /** 1 per vertex, and per edge, along which half of the mesh was left out. */
  readonly isPlaneVertex: Uint8Array;
  readonly isPlaneEdge: Uint8Array;
}

/** A piece of a mesh, and what stands for it. */
export interface SolvingPiece {
  readonly ground: SolvingGround;
  /** The faces to ask about, the piece or its image on the side that is solved for, and the masks for these. */
  readonly asked: Int32Array;
  readonly masks: readonly Uint8Array[];
  /** The face of the ground that stands for each of the piece's faces. */
  readonly solved: Int32Array;
}

/** A mesh as a whole, and one half of it that stands for both where all that is asked is mirrored. */
export class SolvingGrounds {
  readonly half: SolvingGround | undefined;
  readonly #mesh: Mesh;
  readonly #mirror: MirroredElements | undefined;
  readonly #isInside: Uint8Array;
  #whole: SolvingGround | undefined;

  constructor(mesh: Mesh, mirror?: MirroredElements) {
    this.#mesh = mesh;
    this.#mirror = mirror;
    this.#isInside = new Uint8Array(mesh.faceCount);
    const faces = mirror && findMirrorHalf(mesh, mirror);
    this.half = faces && this.#prepare(faces, mirror);
  }

  get whole(): SolvingGround {
    this.#whole ??= this.#prepare(listAll(this.#mesh.faceCount));
    return this.#whole;
  }

  /**
   * Where to solve for a connected piece of the mesh: in the half, if it lies on one side of the plane or is its own
   * mirror image. That depends on nothing but the piece.
   *
   * @param masks - each 1 per edge that is cut
   */
  choose(faces: Int32Array, ...masks: readonly Uint8Array[]): SolvingPiece {
    const { half } = this;
    const plain = { ground: half ?? this.whole, asked: faces, masks, solved: faces };
    if (!half) return plain;
    const solved = faces.map((f) => half.faceStandIns[f]!);
    if (solved.every((f, i) => f === faces[i])) return plain;
    for (const f of faces) this.#isInside[f] = 1;
    const imageCount = faces.filter((f) => this.#isInside[this.#mirror!.facePartners[f]!]).length;
    for (const f of faces) this.#isInside[f] = 0;
    if (imageCount === 0)
      return { ground: half, asked: solved, masks: masks.map((mask) => this.#turnOver(faces, mask)), solved };
    const isMirrored = imageCount === faces.length && masks.every((mask) => this.#isMirrored(faces, mask));
    return isMirrored ? { ...plain, solved } : { ...plain, ground: this.whole };
  }

  /** A mask of the edges of some faces for their mirror images. */
  #turnOver(faces: Int32Array, mask: Uint8Array): Uint8Array {
    const { faceOffsets, halfEdgeEdges } = this.#mesh;
    const image = new Uint8Array(mask.length);
    for (const f of faces)
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++)
        image[this.#mirror!.edgePartners[halfEdgeEdges[h]!]!] = mask[halfEdgeEdges[h]!]!;
    return image;
  }

  #isMirrored(faces: Int32Array, isSeam: Uint8Array): boolean {
    const { faceOffsets, halfEdgeEdges } = this.#mesh;
    const { edgePartners } = this.#mirror!;
    for (const f of faces)
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++)
        if (isSeam[halfEdgeEdges[h]!] !== isSeam[edgePartners[halfEdgeEdges[h]!]!]) return false;
    return true;
  }

  /** @param mirror - given when the faces are one half */
  #prepare(faces: Int32Array, mirror?: MirroredElements): SolvingGround {
    const mesh = this.#mesh;
    const { vertexCount, edgeCount, faceCount, faceOffsets, cornerVertices, halfEdgeEdges } = mesh;
    const faceStandIns = mirror?.facePartners.slice() ?? listAll(faceCount);
    const vertexStandIns = mirror?.vertexPartners.slice() ?? listAll(vertexCount);
    const isPlaneVertex = new Uint8Array(vertexCount);
    const isPlaneEdge = new Uint8Array(edgeCount);
    for (const f of faces) {
      faceStandIns[f] = f;
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++) {
        vertexStandIns[cornerVertices[h]!] = cornerVertices[h]!;
        const e = halfEdgeEdges[h]!;
        if (mirror?.edgePartners[e] !== e) continue;
        isPlaneEdge[e] = 1;
        for (const v of edgeVertices(mesh, e)) isPlaneVertex[v] = 1;
      }
    }
    const tree = splitFaces(mesh, faces);
    return { mesh, tree, faceStandIns, vertexStandIns, isPlaneVertex, isPlaneEdge };
  }
}

const listAll = (count: number): Int32Array => Int32Array.from({ length: count }, (_, i) => i);

const known = new WeakMap<
  Mesh,
  { readonly mirror: MirroredElements | undefined; readonly grounds: SolvingGrounds }
>();

/** The grounds of a mesh, prepared once for all that is solved on it. */
export function openGrounds(mesh: Mesh, mirror?: MirroredElements): SolvingGrounds {
  let entry = known.get(mesh);
  if (!entry || entry.mirror !== mirror) {
    entry = { mirror, grounds: new SolvingGrounds(mesh, mirror) };
    known.set(mesh, entry);
  }
  return entry.grounds;
}
