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

/** A mesh as a whole, and one half of it that stands for both where all that is asked is mirrored. */
export class SolvingGrounds {
  readonly half: SolvingGround | undefined;
  readonly #mesh: Mesh;
  readonly #mirror: MirroredElements | undefined;
  #whole: SolvingGround | undefined;

  constructor(mesh: Mesh, mirror?: MirroredElements) {
    this.#mesh = mesh;
    this.#mirror = mirror;
    const faces = mirror && findMirrorHalf(mesh, mirror);
    this.half = faces && this.#prepare(faces, mirror);
  }

  get whole(): SolvingGround {
    this.#whole ??= this.#prepare(listAll(this.#mesh.faceCount));
    return this.#whole;
  }

  /** The half where the seams are mirrored, else the whole. @param isSeam - 1 per edge that is cut */
  choose(isSeam: Uint8Array): SolvingGround {
    const partners = this.#mirror?.edgePartners;
    for (let e = 0; partners && e < isSeam.length; e++)
      if (partners[e]! >= 0 && isSeam[partners[e]!] !== isSeam[e]) return this.whole;
    return this.half ?? this.whole;
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
