/**
 * A chart folded along its mirror axis u = 0: a vertex and its partner are one folded vertex, and moving it moves
 * both, the partner the mirrored way. Steps that keep a map symmetric are those of the folded chart, which has half
 * the unknowns. Without a mirror every vertex is its own.
 */
export class MirrorFold {
  /** Folded vertex of each vertex. */
  readonly slots: Int32Array;
  /** 1, or −1 for vertices whose u is that of the folded vertex with the sign turned. */
  readonly signs: Float64Array;
  /** Number of folded vertices. */
  readonly size: number;
  /** 1 for folded unknowns (2v for u, 2v + 1 for v) that stay as they are: u on the axis. */
  readonly isHeld: Uint8Array;

  /** @param partners - mirror partner of each vertex, itself on the axis; every vertex its own when left out */
  constructor(vertexCount: number, partners?: Int32Array) {
    this.slots = new Int32Array(vertexCount);
    this.signs = new Float64Array(vertexCount).fill(1);
    let size = 0;
    for (let v = 0; v < vertexCount; v++) {
      const p = partners?.[v] ?? v;
      this.slots[v] = p < v ? this.slots[p]! : size++;
      if (p < v) this.signs[v] = -1;
    }
    this.size = size;
    this.isHeld = new Uint8Array(2 * size);
    for (let v = 0; v < vertexCount; v++) if (partners?.[v] === v) this.isHeld[2 * this.slots[v]!] = 1;
  }

  /** Derivatives by the folded unknowns from those by all unknowns. */
  fold(gradient: Float64Array): Float64Array {
    const folded = new Float64Array(2 * this.size);
    for (let v = 0; v < this.slots.length; v++) {
      const slot = 2 * this.slots[v]!;
      folded[slot]! += this.signs[v]! * gradient[2 * v]!;
      folded[slot + 1]! += gradient[2 * v + 1]!;
    }
    return folded;
  }

  /** The motion of all vertices from that of the folded ones. */
  unfold(folded: Float64Array): Float64Array {
    const field = new Float64Array(2 * this.slots.length);
    for (let v = 0; v < this.slots.length; v++) {
      const slot = 2 * this.slots[v]!;
      field[2 * v] = this.signs[v]! * folded[slot]!;
      field[2 * v + 1] = folded[slot + 1]!;
    }
    return field;
  }

  /** Pairs of vertices as pairs of folded vertices. */
  foldList(vertices: Int32Array): Int32Array {
    return vertices.map((v) => this.slots[v]!);
  }
}
