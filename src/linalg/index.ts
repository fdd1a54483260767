export { buildAdjacency } from './adjacency.js';
export type { AnalyseOptions, SymbolicFactor } from './analyse.js';
export { analyse } from './analyse.js';
export type { LdlOptions } from './ldl-solver.js';
export { LdlSolver } from './ldl-solver.js';
export { multiply } from './multiply.js';
export { orderByMinimumDegree } from './order-minimum-degree.js';
export type { SymmetricMatrix } from './symmetric-matrix.js';
export { assembleSymmetric, sumTriplets } from './symmetric-matrix.js';
