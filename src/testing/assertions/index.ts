export { MeshAssertionError } from './assertion-error.js';
export type { ChartsLike, SeamsLike } from './expect-charts.js';
export { expectCovering, expectDiskCharts } from './expect-charts.js';
export type { ExpectInjectiveOptions } from './expect-injective.js';
export { expectInjective } from './expect-injective.js';
export type { ExpectMirroredOptions, ExpectSameSeamsOptions } from './expect-seams.js';
export { expectMirrored, expectSameSeams } from './expect-seams.js';
export type { MeshLike } from './mesh-like.js';
