/** Disjoint sets over 0..n-1 whose representative is always the lowest member, so results do not depend on call order. */
export class DisjointSet {
  readonly #parents: Int32Array;

  constructor(size: number) {
    this.#parents = new Int32Array(size);
    for (let i = 0; i < size; i++) this.#parents[i] = i;
  }

  /** Lowest member of the set of `x`. */
  find(x: number): number {
    const parents = this.#parents;
    let root = x;
    while (parents[root]! !== root) root = parents[root]!;
    while (parents[x]! !== root) {
      const up = parents[x]!;
      parents[x] = root;
      x = up;
    }
    return root;
  }

  /** Joins the sets of `a` and `b`; returns false when they were one already. */
  union(a: number, b: number): boolean {
    const rootA = this.find(a);
    const rootB = this.find(b);
    if (rootA === rootB) return false;
    if (rootA < rootB) this.#parents[rootB] = rootA;
    else this.#parents[rootA] = rootB;
    return true;
  }

  /** Numbers the sets 0.. in order of their lowest member: the set of each element, and the count. */
  labels(): { labels: Int32Array; count: number } {
    const size = this.#parents.length;
    const labels = new Int32Array(size);
    let count = 0;
    for (let i = 0; i < size; i++) {
      const root = this.find(i);
      labels[i] = root === i ? count++ : labels[root]!;
    }
    return { labels, count };
  }
}
