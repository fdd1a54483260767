/** A seeded source of evenly spread numbers (Mulberry32, public domain by T. Ettinger; from memory). */
export class RandomSource {
  #state: number;

  constructor(seed: number) {
    this.#state = seed | 0;
  }

  /** The next number in [0, 1). */
  next(): number {
    this.#state = (this.#state + 0x6d2b79f5) | 0;
    let t = Math.imul(this.#state ^ (this.#state >>> 15), 1 | this.#state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  }

  /** A whole number in [0, count). */
  below(count: number): number {
    return Math.floor(this.next() * count);
  }
}
