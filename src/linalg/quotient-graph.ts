import type { Adjacency } from './adjacency.js';
import { compactLists, GONE } from './compact-lists.js';
import { DegreeBuckets } from './degree-buckets.js';

const VARIABLE = 0;
const ELEMENT = 1;

/**
 * A node is a variable, an element (an eliminated pivot, standing for the clique it left behind) or
 * gone (absorbed or merged). A variable's list holds its elements, then its variables; an element's
 * list holds its variables.
 */
export class QuotientGraph {
  readonly #size: number;
  readonly #kind: Uint8Array;
  readonly #start: Int32Array;
  readonly #length: Int32Array;
  readonly #elementCount: Int32Array;
  /** Unknowns a variable stands for; negated while it is in the pivot's list, 0 when gone. */
  readonly #weight: Int32Array;
  /** Approximate external degree of a variable; weight of an element's list. */
  readonly #degree: Int32Array;
  /** Scratch marks: for elements, tag + |list \ pivot's list|. */
  readonly #mark: Int32Array;
  #tag = 1;
  /** Nodes merged into another, as linked lists. */
  readonly #nextMember: Int32Array;
  readonly #lastMember: Int32Array;
  readonly #buckets: DegreeBuckets;
  readonly #hashHead: Int32Array;
  readonly #hashNext: Int32Array;
  readonly #hash: Int32Array;
  #lists: Int32Array;
  #free: number;
  #weightLeft: number;
  readonly #totalWeight: number;
  readonly #deferred: number[] = [];

  constructor(graph: Adjacency, weights?: Int32Array) {
    const n = graph.size;
    this.#size = n;
    this.#kind = new Uint8Array(n);
    this.#start = graph.offsets.slice(0, n);
    this.#length = new Int32Array(n);
    this.#elementCount = new Int32Array(n);
    this.#weight = weights ? weights.slice() : new Int32Array(n).fill(1);
    this.#degree = new Int32Array(n);
    this.#mark = new Int32Array(n);
    this.#nextMember = new Int32Array(n).fill(-1);
    this.#lastMember = new Int32Array(n);
    this.#hashHead = new Int32Array(n).fill(-1);
    this.#hashNext = new Int32Array(n).fill(-1);
    this.#hash = new Int32Array(n);
    let total = 0;
    for (let i = 0; i < n; i++) {
      total += this.#weight[i]!;
      this.#lastMember[i] = i;
      this.#length[i] = graph.offsets[i + 1]! - graph.offsets[i]!;
    }
    this.#totalWeight = total;
    this.#weightLeft = total;
    // Each elimination adds a list no longer than those it absorbs, but needs room before they go; twice the
    // graph keeps compaction rare.
    const count = graph.neighbours.length;
    this.#lists = new Int32Array(2 * count + n + 1);
    this.#lists.set(graph.neighbours);
    this.#free = count;
    this.#buckets = new DegreeBuckets(n, total);
    this.#deferDense(graph);
    for (let i = 0; i < n; i++) {
      if (this.#kind[i] !== VARIABLE) continue;
      let degree = 0;
      for (let p = this.#start[i]!; p < this.#start[i]! + this.#length[i]!; p++)
        degree += this.#weight[this.#lists[p]!]!;
      this.#degree[i] = degree;
      this.#buckets.insert(i, degree);
    }
  }

  /** Takes out nodes of more than max(16, 10 √n) neighbours; they are ordered last. */
  #deferDense(graph: Adjacency): void {
    const limit = Math.max(16, 10 * Math.sqrt(this.#size));
    for (let i = 0; i < this.#size; i++) {
      if (graph.offsets[i + 1]! - graph.offsets[i]! <= limit) continue;
      this.#kind[i] = GONE;
      this.#weightLeft -= this.#weight[i]!;
      this.#weight[i] = 0;
      this.#deferred.push(i);
    }
  }

  eliminateAll(): Int32Array {
    const order = new Int32Array(this.#size);
    let count = 0;
    for (let pivot = this.#buckets.popLeast(); pivot >= 0; pivot = this.#buckets.popLeast()) {
      this.#eliminate(pivot);
      for (let member = pivot; member >= 0; member = this.#nextMember[member]!) order[count++] = member;
    }
    for (const node of this.#deferred) order[count++] = node;
    return order;
  }

  #eliminate(pivot: number): void {
    this.#weightLeft -= this.#weight[pivot]!;
    this.#formElement(pivot);
    this.#scanElements(pivot);
    this.#updateDegrees(pivot);
    this.#mergeTwins(pivot);
    this.#restoreVariables(pivot);
  }

  /** The pivot's list: its variables and those of its elements, which it absorbs. */
  #formElement(pivot: number): void {
    this.#reserve(this.#pivotListBound(pivot));
    const lists = this.#lists;
    const first = this.#free;
    const start = this.#start[pivot]!;
    const elementCount = this.#elementCount[pivot]!;
    const length = this.#length[pivot]!;
    this.#weight[pivot] = -this.#weight[pivot]!;
    let degree = 0;
    for (let p = 0; p < elementCount; p++) {
      const e = lists[start + p]!;
      degree += this.#gather(this.#start[e]!, this.#length[e]!);
      this.#kind[e] = GONE;
    }
    degree += this.#gather(start + elementCount, length - elementCount);
    this.#weight[pivot] = 0;
    this.#kind[pivot] = ELEMENT;
    this.#start[pivot] = first;
    this.#length[pivot] = this.#free - first;
    this.#elementCount[pivot] = 0;
    this.#degree[pivot] = degree;
  }

  /** Appends the live variables not gathered yet, negating their weights; returns the weight gathered. */
  #gather(start: number, length: number): number {
    const lists = this.#lists;
    const weight = this.#weight;
    let gathered = 0;
    for (let p = start; p < start + length; p++) {
      const i = lists[p]!;
      const w = weight[i]!;
      if (w <= 0) continue;
      gathered += w;
      weight[i] = -w;
      lists[this.#free++] = i;
      this.#buckets.remove(i);
    }
    return gathered;
  }

  #pivotListBound(pivot: number): number {
    const start = this.#start[pivot]!;
    const elementCount = this.#elementCount[pivot]!;
    let bound = this.#length[pivot]! - elementCount;
    for (let p = start; p < start + elementCount; p++) bound += this.#length[this.#lists[p]!]!;
    return Math.min(bound, this.#size);
  }

  /** Makes room for `needed` entries by moving live lists together, or by growing. */
  #reserve(needed: number): void {
    if (this.#free + needed <= this.#lists.length) return;
    const free = compactLists(this.#lists, this.#start, this.#length, this.#kind);
    this.#free = free;
    if (free + needed <= this.#lists.length) return;
    const grown = new Int32Array(2 * (free + needed));
    grown.set(this.#lists.subarray(0, free));
    this.#lists = grown;
  }

  /** Marks every element next to the pivot's list with the weight of its variables outside that list. */
  #scanElements(pivot: number): void {
    const lists = this.#lists;
    const { tag, mark } = this.#freshTag();
    const end = this.#start[pivot]! + this.#length[pivot]!;
    for (let p = this.#start[pivot]!; p < end; p++) {
      const i = lists[p]!;
      const weight = -this.#weight[i]!;
      const first = this.#start[i]!;
      for (let q = first; q < first + this.#elementCount[i]!; q++) {
        const e = lists[q]!;
        if (this.#kind[e] !== ELEMENT) continue;
        if (mark[e]! >= tag) mark[e]! -= weight;
        else mark[e] = this.#degree[e]! + tag - weight;
      }
    }
  }

  /** A tag above every mark in use; marks up to tag + total weight belong to it. */
  #freshTag(): { tag: number; mark: Int32Array } {
    this.#tag += this.#totalWeight + 1;
    if (this.#tag > 2_000_000_000 - 2 * this.#totalWeight) {
      this.#mark.fill(0);
      this.#tag = 1;
    }
    return { tag: this.#tag, mark: this.#mark };
  }

  /** Compresses the lists of the pivot's variables and bounds their degrees; sets up the hash of each. */
  #updateDegrees(pivot: number): void {
    const lists = this.#lists;
    const start = this.#start[pivot]!;
    const end = start + this.#length[pivot]!;
    for (let p = start; p < end; p++) {
      const i = lists[p]!;
      const outside = this.#compressList(i, pivot);
      if (outside === 0) this.#join(pivot, i);
      else {
        this.#degree[i] = Math.min(this.#degree[i]!, outside);
        const bucket = this.#hash[i]! % this.#size;
        this.#hash[i] = bucket;
        this.#hashNext[i] = this.#hashHead[bucket]!;
        this.#hashHead[bucket] = i;
      }
    }
  }

  /** Mass elimination: a variable whose neighbours all lie in the pivot's list goes with the pivot. */
  #join(pivot: number, i: number): void {
    const weight = -this.#weight[i]!;
    this.#degree[pivot]! -= weight;
    this.#weightLeft -= weight;
    this.#append(pivot, i);
  }

  #append(node: number, merged: number): void {
    this.#kind[merged] = GONE;
    this.#weight[merged] = 0;
    this.#nextMember[this.#lastMember[node]!] = merged;
    this.#lastMember[node] = this.#lastMember[merged]!;
  }

  /**
   * Rewrites the list of `i`: the pivot, its other elements with variables outside the pivot's list, its
   * variables outside it. Returns the weight outside, counting an overlap of elements twice.
   */
  #compressList(i: number, pivot: number): number {
    const lists = this.#lists;
    const mark = this.#mark;
    const kind = this.#kind;
    const weight = this.#weight;
    const tag = this.#tag;
    const first = this.#start[i]!;
    const variables = first + this.#elementCount[i]!;
    const end = first + this.#length[i]!;
    let outside = 0;
    let hash = pivot;
    let write = first;
    for (let q = first; q < variables; q++) {
      const e = lists[q]!;
      if (kind[e] !== ELEMENT) continue;
      const excess = mark[e]! - tag;
      if (excess > 0) {
        outside += excess;
        hash += e;
        lists[write++] = e;
      } else kind[e] = GONE;
    }
    const elementEnd = write;
    for (let q = variables; q < end; q++) {
      const j = lists[q]!;
      const w = weight[j]!;
      if (w <= 0) continue;
      outside += w;
      hash += j;
      lists[write++] = j;
    }
    // At least one entry went (the pivot itself or an element it absorbed), so there is room for the pivot.
    lists[write] = lists[elementEnd]!;
    lists[elementEnd] = lists[first]!;
    lists[first] = pivot;
    this.#elementCount[i] = elementEnd - first + 1;
    this.#length[i] = write - first + 1;
    this.#hash[i] = hash & 0x3fffffff;
    return outside;
  }

  /** Merges variables of the pivot's list that have the same lists. */
  #mergeTwins(pivot: number): void {
    const lists = this.#lists;
    const start = this.#start[pivot]!;
    const end = start + this.#length[pivot]!;
    for (let p = start; p < end; p++) {
      const i = lists[p]!;
      if (this.#weight[i]! >= 0) continue;
      const bucket = this.#hash[i]!;
      let candidate = this.#hashHead[bucket]!;
      this.#hashHead[bucket] = -1;
      for (; candidate >= 0 && this.#hashNext[candidate]! >= 0; candidate = this.#hashNext[candidate]!)
        this.#mergeTwinsOf(candidate);
    }
  }

  #mergeTwinsOf(i: number): void {
    const lists = this.#lists;
    const { tag, mark } = this.#freshTag();
    const first = this.#start[i]!;
    for (let q = first + 1; q < first + this.#length[i]!; q++) mark[lists[q]!] = tag;
    let before = i;
    for (let j = this.#hashNext[i]!; j >= 0; j = this.#hashNext[j]!) {
      if (this.#isTwin(i, j, tag)) {
        this.#weight[i]! += this.#weight[j]!;
        this.#append(i, j);
        this.#hashNext[before] = this.#hashNext[j]!;
      } else before = j;
    }
  }

  #isTwin(i: number, j: number, tag: number): boolean {
    if (this.#length[j] !== this.#length[i] || this.#elementCount[j] !== this.#elementCount[i]) return false;
    const lists = this.#lists;
    const mark = this.#mark;
    const first = this.#start[j]!;
    for (let q = first + 1; q < first + this.#length[j]!; q++) if (mark[lists[q]!] !== tag) return false;
    return true;
  }

  /** Puts the pivot's variables back into the degree buckets and drops the merged ones from its list. */
  #restoreVariables(pivot: number): void {
    const lists = this.#lists;
    const start = this.#start[pivot]!;
    const end = start + this.#length[pivot]!;
    const pivotDegree = this.#degree[pivot]!;
    let write = start;
    for (let p = start; p < end; p++) {
      const i = lists[p]!;
      const weight = -this.#weight[i]!;
      if (weight <= 0) continue;
      this.#weight[i] = weight;
      const degree = Math.min(this.#degree[i]! + pivotDegree - weight, this.#weightLeft - weight);
      this.#degree[i] = degree;
      this.#buckets.insert(i, degree);
      lists[write++] = i;
    }
    this.#length[pivot] = write - start;
    this.#free = write;
    if (write === start) this.#kind[pivot] = GONE;
  }
}
