export { appendTo } from './append-to.js';
export { BoundedMap } from './bounded-map.js';
export { DisjointSet } from './disjoint-set.js';
export { IndexedHeap } from './indexed-heap.js';
export type { GroupMembers } from './list-members.js';
export { listMembers } from './list-members.js';
