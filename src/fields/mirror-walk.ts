import type { FaceId, HalfEdgeId, Mesh, VertexId } from '../mesh/index.js';

/**
 * A partial mirror map of the topology: half-edge h from u to v goes to the half-edge from v's partner to u's
 * partner, since mirroring turns faces over; the next half-edge goes to the previous one.
 */
export class MirrorMap {
  readonly halfEdgePartners: Int32Array;
  readonly vertexPartners: Int32Array;
  readonly facePartners: Int32Array;
  /** Edges per shell across which the two sides did not go on alike. */
  readonly shellConflicts: Int32Array;
  matchedFaceCount = 0;

  readonly #mesh: Mesh;
  readonly #lengths: Float64Array;
  readonly #maxRatio: number;
  /** Faces matched, in the order they were found; one of each pair. */
  readonly #queue: HalfEdgeId[] = [];
  #walked = 0;

  /** @param edgeLengths - partners may differ in length by the factor `maxRatio` at most */
  constructor(mesh: Mesh, edgeLengths: Float64Array, maxRatio: number) {
    this.#mesh = mesh;
    this.#lengths = edgeLengths;
    this.#maxRatio = maxRatio;
    this.halfEdgePartners = new Int32Array(mesh.cornerCount).fill(-1);
    this.vertexPartners = new Int32Array(mesh.vertexCount).fill(-1);
    this.facePartners = new Int32Array(mesh.faceCount).fill(-1);
    this.shellConflicts = new Int32Array(mesh.shellCount);
  }

  /**
   * Makes the faces of the two half-edges partners with h going to g, when nothing speaks against it.
   *
   * @param maxRatio - partner edges differ in length by this factor at most
   */
  tryFaces(h: HalfEdgeId, g: HalfEdgeId, maxRatio = this.#maxRatio): boolean {
    const mesh = this.#mesh;
    const face = mesh.cornerFaces[h]!;
    const image = mesh.cornerFaces[g]!;
    if (this.facePartners[face]! >= 0 || this.facePartners[image]! >= 0) return false;
    if (!this.#fits(h, g, maxRatio)) return false;
    let a = h;
    let b = g;
    do {
      this.halfEdgePartners[a] = b;
      this.halfEdgePartners[b] = a;
      const v = mesh.cornerVertices[a]!;
      const w = mesh.cornerVertices[mesh.next[b]!]!;
      this.vertexPartners[v] = w;
      this.vertexPartners[w] = v;
      a = mesh.next[a]!;
      b = mesh.prev[b]!;
    } while (a !== h);
    this.facePartners[face] = image;
    this.facePartners[image] = face;
    this.matchedFaceCount += face === image ? 1 : 2;
    this.#queue.push(h);
    return true;
  }

  #fits(h: HalfEdgeId, g: HalfEdgeId, maxRatio: number): boolean {
    const mesh = this.#mesh;
    const { vertexPartners } = this;
    let a = h;
    let b = g;
    do {
      const v: VertexId = mesh.cornerVertices[a]!;
      const w: VertexId = mesh.cornerVertices[mesh.next[b]!]!;
      if (vertexPartners[v]! >= 0 ? vertexPartners[v] !== w : vertexPartners[w]! >= 0) return false;
      if (mesh.twin[a]! < 0 !== mesh.twin[b]! < 0) return false;
      const first = this.#lengths[mesh.halfEdgeEdges[a]!]!;
      const second = this.#lengths[mesh.halfEdgeEdges[b]!]!;
      if (first > maxRatio * second || second > maxRatio * first) return false;
      a = mesh.next[a]!;
      b = mesh.prev[b]!;
    } while (a !== h && b !== g);
    return a === h && b === g;
  }

  /**
   * Carries the map across the edges of matched faces as far as both sides go on alike.
   *
   * @param isAllowed - 1 for the shells it may spread in; all by default
   */
  walk(isAllowed?: Uint8Array): void {
    const { next, prev, twin, cornerFaces, faceShells } = this.#mesh;
    for (; this.#walked < this.#queue.length; this.#walked++) {
      const first = this.#queue[this.#walked]!;
      const shell = faceShells[cornerFaces[first]!]!;
      if (isAllowed && !isAllowed[shell]) continue;
      let a = first;
      let b = this.halfEdgePartners[first]!;
      do {
        const s = twin[a]!;
        const t = twin[b]!;
        if (s >= 0 && t >= 0 && this.halfEdgePartners[s] !== t && !this.tryFaces(s, t))
          this.shellConflicts[shell]!++;
        a = next[a]!;
        b = prev[b]!;
      } while (a !== first);
    }
  }

  /** Undoes everything, at the cost of what was matched only. */
  clear(): void {
    const { next, cornerVertices, cornerFaces } = this.#mesh;
    const undo = (first: HalfEdgeId) => {
      let h = first;
      do {
        this.halfEdgePartners[h] = -1;
        this.vertexPartners[cornerVertices[h]!] = -1;
        h = next[h]!;
      } while (h !== first);
      this.facePartners[cornerFaces[first]! as FaceId] = -1;
    };
    for (const h of this.#queue) {
      const g = this.halfEdgePartners[h]!;
      undo(h);
      if (g >= 0) undo(g);
    }
    this.shellConflicts.fill(0);
    this.#queue.length = 0;
    this.#walked = 0;
    this.matchedFaceCount = 0;
  }
}
