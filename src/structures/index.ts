export { BoundedMap } from './bounded-map.js';
export { DisjointSet } from './disjoint-set.js';
export { IndexedHeap } from './indexed-heap.js';
