import type { Mesh } from '../mesh/index.js';
import { isCutHalfEdge } from '../mesh/index.js';

/**
 * Which element of a mesh lies opposite which across its mirror plane, -1 for none; those on the plane are their own
 * partners.
 */
export interface MirroredElements {
  readonly vertexPartners: Int32Array;
  readonly edgePartners: Int32Array;
  readonly facePartners: Int32Array;
}

/** A connected piece of the surface, and which half-edges bound it. Select one, then ask. */
export class ChartSelection {
  readonly #mesh: Mesh;
  readonly #isInside: Uint8Array;
  readonly #isHalf: Uint8Array;
  #faces: Int32Array = new Int32Array(0);
  #isSeam: Uint8Array = new Uint8Array(0);

  constructor(mesh: Mesh) {
    this.#mesh = mesh;
    this.#isInside = new Uint8Array(mesh.faceCount);
    this.#isHalf = new Uint8Array(mesh.faceCount);
  }

  /**
   * @param faces - connected without crossing a seam, ascending
   * @param isSeam - 1 per edge that is cut
   */
  select(faces: Int32Array, isSeam: Uint8Array): void {
    for (const f of this.#faces) this.#isInside[f] = 0;
    for (const f of faces) this.#isInside[f] = 1;
    this.#faces = faces;
    this.#isSeam = isSeam;
  }

  /** Whether a half-edge of the piece bounds it. */
  isBorder(h: number): boolean {
    const { twin, cornerFaces } = this.#mesh;
    return isCutHalfEdge(this.#mesh, this.#isSeam, h) || !this.#isInside[cornerFaces[twin[h]!]!];
  }

  /** Faces on one side of a piece that is its own mirror image, the plane running along edges; else undefined. */
  findHalf(mirror: MirroredElements): Int32Array | undefined {
    const faces = this.#faces;
    if (faces.length % 2 === 1 || !this.#isSymmetric(mirror)) return undefined;
    const { facePartners, edgePartners } = mirror;
    const { faceOffsets, cornerFaces, twin, halfEdgeEdges } = this.#mesh;
    const found = [faces[0]!];
    this.#isHalf[faces[0]!] = 1;
    for (const f of found)
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++) {
        const edge = halfEdgeEdges[h]!;
        if (edgePartners[edge] === edge || this.isBorder(h)) continue;
        const neighbour = cornerFaces[twin[h]!]!;
        if (this.#isHalf[neighbour]) continue;
        this.#isHalf[neighbour] = 1;
        found.push(neighbour);
      }
    const isHalf = 2 * found.length === faces.length && found.every((f) => !this.#isHalf[facePartners[f]!]);
    const half = isHalf ? faces.filter((f) => this.#isHalf[f]) : undefined;
    for (const f of found) this.#isHalf[f] = 0;
    return half;
  }

  #isSymmetric({ facePartners, edgePartners }: MirroredElements): boolean {
    const { faceOffsets, halfEdgeEdges } = this.#mesh;
    for (const f of this.#faces) {
      const partner = facePartners[f]!;
      if (partner < 0 || partner === f || !this.#isInside[partner]) return false;
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++) {
        const other = edgePartners[halfEdgeEdges[h]!]!;
        if (other < 0 || this.#isSeam[other] !== this.#isSeam[halfEdgeEdges[h]!]) return false;
      }
    }
    return true;
  }
}
