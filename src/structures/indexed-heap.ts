/** Children of each slot; four beside one another cost less than two levels of two. */
const BRANCHES = 4;

/** Indexed minimum heap over keys 0..capacity-1 with decrease-key; equal priorities leave lowest key first. */
export class IndexedHeap {
  readonly #priorities: Float64Array;
  readonly #slots: Int32Array;
  readonly #heap: Int32Array;
  #size = 0;

  constructor(capacity: number) {
    this.#priorities = new Float64Array(capacity);
    this.#slots = new Int32Array(capacity).fill(-1);
    this.#heap = new Int32Array(capacity);
  }

  get size(): number {
    return this.#size;
  }

  /** Inserts the key, or lowers its priority; a priority that is not lower is ignored. */
  pushOrDecrease(key: number, priority: number): void {
    const slot = this.#slots[key]!;
    if (slot >= 0) {
      if (priority >= this.#priorities[key]!) return;
      this.#priorities[key] = priority;
      this.#up(slot);
    } else {
      this.#priorities[key] = priority;
      this.#heap[this.#size] = key;
      this.#slots[key] = this.#size;
      this.#up(this.#size++);
    }
  }

  /** Removes and returns the key of least priority, or -1 when empty. */
  pop(): number {
    if (this.#size === 0) return -1;
    const top = this.#heap[0]!;
    const last = this.#heap[--this.#size]!;
    this.#slots[top] = -1;
    if (this.#size > 0) {
      this.#heap[0] = last;
      this.#slots[last] = 0;
      this.#down(0);
    }
    return top;
  }

  /** Priority last given to `key`. */
  priority(key: number): number {
    return this.#priorities[key]!;
  }

  clear(): void {
    for (let i = 0; i < this.#size; i++) this.#slots[this.#heap[i]!] = -1;
    this.#size = 0;
  }

  #before(a: number, b: number): boolean {
    const difference = this.#priorities[a]! - this.#priorities[b]!;
    return difference < 0 || (difference === 0 && a < b);
  }

  #up(slot: number): void {
    const heap = this.#heap;
    const key = heap[slot]!;
    while (slot > 0) {
      const parent = ((slot - 1) / BRANCHES) | 0;
      if (!this.#before(key, heap[parent]!)) break;
      heap[slot] = heap[parent]!;
      this.#slots[heap[slot]!] = slot;
      slot = parent;
    }
    heap[slot] = key;
    this.#slots[key] = slot;
  }

  #down(slot: number): void {
    const heap = this.#heap;
    const key = heap[slot]!;
    for (;;) {
      let child = BRANCHES * slot + 1;
      if (child >= this.#size) break;
      const end = Math.min(child + BRANCHES, this.#size);
      for (let other = child + 1; other < end; other++)
        if (this.#before(heap[other]!, heap[child]!)) child = other;
      if (!this.#before(heap[child]!, key)) break;
      heap[slot] = heap[child]!;
      this.#slots[heap[slot]!] = slot;
      slot = child;
    }
    heap[slot] = key;
    this.#slots[key] = slot;
  }
}
