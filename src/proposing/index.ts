export type { SurfaceFacts } from './describe-surface.js';
export { describeSurface } from './describe-surface.js';
export type { DrawingGround, DrawnStrategy } from './draw-set.js';
export { drawSet } from './draw-set.js';
export type {
  ChartForecast,
  ChartPrediction,
  Conflict,
  DropCause,
  DroppedSet,
  Proposal,
  ProposedChart,
  Seam,
  SeamSet,
  SetCriteria,
  Side,
} from './proposal.js';
export type { ProposeOptions, SeamHints, SettledCharts } from './propose-options.js';
export { PROPOSE_DEFAULTS } from './propose-options.js';
export type { ProposalWorkers } from './propose-seams.js';
export { proposeSeams, proposeSeamsOn } from './propose-seams.js';
export { settleCharts } from './settle-charts.js';
export type { Study } from './study-mesh.js';
export { studyMesh } from './study-mesh.js';
export type { StudyRecord } from './study-record.js';
export { recallStudy } from './study-record.js';
export type { ExposureWishes, SurfaceExposures } from './survey-exposures.js';
export { exposeSurface } from './survey-exposures.js';
export { isUvSeam } from './uv-seams.js';
