export { DisjointSet } from './disjoint-set.js';
export { IndexedHeap } from './indexed-heap.js';
