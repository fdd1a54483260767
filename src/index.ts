export type {
  DistortionPrediction,
  LayoutReport,
  MeasureLayoutOptions,
  PredictedChart,
} from './distortion/index.js';
export { DistortionPredictor, measureLayout, predictDistortion } from './distortion/index.js';
export type { ErrorCode } from './errors.js';
export {
  FormatError,
  InvalidMeshError,
  InvalidOptionError,
  LimitError,
  NumericalError,
  SeamwrightError,
} from './errors.js';
export type {
  Exposure,
  ExposureOptions,
  Mirror,
  MirrorOptions,
  Viewpoint,
  Viewpoints,
} from './fields/index.js';
export { computeCurvature, computeExposure, computeGeodesicDistances, findMirror } from './fields/index.js';
export type { FlatChart, FlatSet, FlattenMethod, FlattenOptions } from './flattening/index.js';
export { FLATTEN_DEFAULTS, flattenChart, flattenCharts } from './flattening/index.js';
export type { MeshGraph, RegionGraph, SeamGraph } from './graph/index.js';
export { buildRegionGraph, buildSeamGraph, toGraph } from './graph/index.js';
export type { Layout, LayoutOptions } from './layout/index.js';
export { arrangeCharts, LAYOUT_DEFAULTS } from './layout/index.js';
export type { BuildOptions, ChartTopology, Mesh, MeshInput, Repair, RepairKind } from './mesh/index.js';
export { BUILD_DEFAULTS, buildMesh } from './mesh/index.js';
export type {
  ChartForecast,
  ChartPrediction,
  Conflict,
  Profile,
  ProfileExample,
  Proposal,
  ProposedChart,
  ProposeOptions,
  Seam,
  SeamHints,
  SeamSet,
  SetCriteria,
} from './proposing/index.js';
export { learnProfile, PROPOSE_DEFAULTS, proposeSeams } from './proposing/index.js';
export type { Part, PartName, PartOptions, PartSide, PartTree } from './regions/index.js';
export { findParts } from './regions/index.js';
