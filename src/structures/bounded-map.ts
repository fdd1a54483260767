/** A map that forgets what was used longest ago once the weights of its values pass a limit. The latest always stays. */
export class BoundedMap<K, V> {
  readonly #limit: number;
  readonly #entries = new Map<K, { readonly value: V; readonly weight: number }>();
  #total = 0;

  /** @param limit - of the sum of weights */
  constructor(limit: number) {
    this.#limit = limit;
  }

  get size(): number {
    return this.#entries.size;
  }

  get(key: K): V | undefined {
    const entry = this.#entries.get(key);
    if (!entry) return undefined;
    // A map lists its keys in the order they were set.
    this.#entries.delete(key);
    this.#entries.set(key, entry);
    return entry.value;
  }

  set(key: K, value: V, weight: number): void {
    this.#drop(key);
    this.#entries.set(key, { value, weight });
    this.#total += weight;
    for (const oldest of this.#entries.keys()) {
      if (this.#total <= this.#limit || oldest === key) break;
      this.#drop(oldest);
    }
  }

  #drop(key: K): void {
    const entry = this.#entries.get(key);
    if (!entry) return;
    this.#entries.delete(key);
    this.#total -= entry.weight;
  }
}
