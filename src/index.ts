export type { LayoutReport, MeasureLayoutOptions } from './distortion/index.js';
export { measureLayout } from './distortion/index.js';
export type { ErrorCode } from './errors.js';
export {
  FormatError,
  InvalidMeshError,
  InvalidOptionError,
  LimitError,
  NumericalError,
  SeamwrightError,
} from './errors.js';
export type { Viewpoint, Viewpoints } from './fields/index.js';
export type { FlatChart, FlatSet, FlattenMethod, FlattenOptions } from './flattening/index.js';
export { FLATTEN_DEFAULTS, flattenChart, flattenCharts } from './flattening/index.js';
export type { Layout, LayoutOptions } from './layout/index.js';
export { arrangeCharts, LAYOUT_DEFAULTS } from './layout/index.js';
export type { BuildOptions, ChartTopology, Mesh, MeshInput, Repair, RepairKind } from './mesh/index.js';
export { BUILD_DEFAULTS, buildMesh } from './mesh/index.js';
export type {
  ChartForecast,
  ChartPrediction,
  Conflict,
  Proposal,
  ProposedChart,
  ProposeOptions,
  Seam,
  SeamHints,
  SeamSet,
  SetCriteria,
} from './proposing/index.js';
export { PROPOSE_DEFAULTS, proposeSeams } from './proposing/index.js';
