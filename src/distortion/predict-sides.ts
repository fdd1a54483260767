/** Numbers undirected sides by their two vertices in the order of first sight, without a hash per pair. */
export class SideNumbering {
  readonly #heads: Int32Array;
  readonly #nexts: number[] = [];
  readonly #others: number[] = [];
  /** The lower vertex of each side. */
  readonly lows: number[] = [];
  /** How often each side was seen. */
  readonly counts: number[] = [];

  constructor(vertexCount: number) {
    this.#heads = new Int32Array(vertexCount).fill(-1);
  }

  /** Number of the side between two vertices. */
  number(a: number, b: number): number {
    const low = Math.min(a, b);
    const high = Math.max(a, b);
    for (let side = this.#heads[low]!; side >= 0; side = this.#nexts[side]!) {
      if (this.#others[side] !== high) continue;
      this.counts[side]!++;
      return side;
    }
    const side = this.add(low);
    this.#nexts[side] = this.#heads[low]!;
    this.#others[side] = high;
    this.#heads[low] = side;
    return side;
  }

  /** A new side that no pair of vertices leads to, such as a diagonal inside a polygon. */
  add(low: number): number {
    const side = this.counts.push(1) - 1;
    this.lows[side] = low;
    this.#nexts[side] = -1;
    this.#others[side] = -1;
    return side;
  }
}
