/** Nodes in doubly linked lists by degree; the last one put into the lowest list comes out first. */
export class DegreeBuckets {
  readonly #head: Int32Array;
  readonly #next: Int32Array;
  readonly #previous: Int32Array;
  readonly #bucket: Int32Array;
  #least = 0;

  /** @param maxDegree - degrees run from 0 to this; beyond `size` they share the top list */
  constructor(size: number, maxDegree: number) {
    this.#head = new Int32Array(Math.min(size, maxDegree) + 1).fill(-1);
    this.#next = new Int32Array(size).fill(-1);
    this.#previous = new Int32Array(size).fill(-1);
    this.#bucket = new Int32Array(size).fill(-1);
  }

  insert(node: number, degree: number): void {
    const bucket = Math.min(degree, this.#head.length - 1);
    const next = this.#head[bucket]!;
    this.#bucket[node] = bucket;
    this.#previous[node] = -1;
    this.#next[node] = next;
    if (next >= 0) this.#previous[next] = node;
    this.#head[bucket] = node;
    if (bucket < this.#least) this.#least = bucket;
  }

  remove(node: number): void {
    const bucket = this.#bucket[node]!;
    if (bucket < 0) return;
    this.#bucket[node] = -1;
    const next = this.#next[node]!;
    const previous = this.#previous[node]!;
    if (next >= 0) this.#previous[next] = previous;
    if (previous >= 0) this.#next[previous] = next;
    else this.#head[bucket] = next;
  }

  /** Removes and returns a node of least degree, or -1 when none is left. */
  popLeast(): number {
    while (this.#least < this.#head.length) {
      const node = this.#head[this.#least]!;
      if (node >= 0) {
        this.remove(node);
        return node;
      }
      this.#least++;
    }
    return -1;
  }
}
