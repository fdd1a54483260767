export type {
  ChartDistortion,
  DistortionPrediction,
  LayoutChart,
  LayoutReport,
  MeasureLayoutOptions,
  Overlaps,
  PredictedChart,
} from './distortion/index.js';
export { DistortionPredictor, measureLayout, predictDistortion } from './distortion/index.js';
export type { MirroredElements } from './elements/index.js';
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
  AxisOptions,
  Curvature,
  Exposure,
  ExposureOptions,
  Mirror,
  MirrorOptions,
  SingleExposureOptions,
  Viewpoint,
  Viewpoints,
} from './fields/index.js';
export { computeCurvature, computeExposure, findMirror } from './fields/index.js';
export type {
  ChartLabels,
  FlatChart,
  FlatSet,
  FlatSetChart,
  FlattenAttempt,
  FlattenChartsOptions,
  FlattenMeasure,
  FlattenMethod,
  FlattenOptions,
  LinePin,
  MirrorPartners,
  Pins,
  PointPin,
  SeamsToFlatten,
} from './flattening/index.js';
export { FLATTEN_DEFAULTS, flattenChart, flattenCharts } from './flattening/index.js';
export type {
  DensityWeights,
  FlatChartLike,
  FlatSetLike,
  Layout,
  LayoutDensity,
  LayoutOptions,
  LayoutRotation,
  LayoutTile,
  LockedCharts,
  PlacedChart,
} from './layout/index.js';
export { arrangeCharts, LAYOUT_DEFAULTS } from './layout/index.js';
export type { Vec3 } from './math/index.js';
export type {
  BuildOptions,
  ChartSurface,
  ChartTopology,
  CornerId,
  CutMesh,
  EdgeId,
  FaceId,
  HalfEdgeId,
  Mesh,
  MeshInput,
  PointId,
  Repair,
  RepairKind,
  SeamEdges,
  VertexId,
} from './mesh/index.js';
export { BUILD_DEFAULTS, buildMesh } from './mesh/index.js';
export type {
  ChartForecast,
  ChartPrediction,
  Conflict,
  DropCause,
  DroppedSet,
  Proposal,
  ProposedChart,
  ProposeOptions,
  Seam,
  SeamHints,
  SeamSet,
  SetCriteria,
  SettledCharts,
  Side,
} from './proposing/index.js';
export { PROPOSE_DEFAULTS, proposeSeams, settleCharts } from './proposing/index.js';
export type { Digit, Part, PartAxis, PartName, PartOptions, PartSide, PartTree } from './regions/index.js';
export { findParts } from './regions/index.js';
export type { CostWeights, SeamRole } from './seams/index.js';
