export { findBorderCrossings } from './border-crossings.js';
export type { MirrorPartners } from './chart-mirror.js';
export { measureCorners } from './cotangents.js';
export type { FlatChart, FlattenAttempt } from './flatten-chart.js';
export { flattenChart } from './flatten-chart.js';
export type {
  ChartFlattener,
  ChartLabels,
  FlatSet,
  FlatSetChart,
  FlattenChartsOptions,
  SeamsToFlatten,
} from './flatten-charts.js';
export { flattenCharts, flattenSets } from './flatten-charts.js';
export type { FlattenMeasure, FlattenMethod, FlattenOptions } from './flatten-options.js';
export { FLATTEN_DEFAULTS } from './flatten-options.js';
export type { LinePin, Pins, PointPin } from './pins.js';
export { restOfMesh } from './rest-of-mesh.js';
export type { RestTriangles } from './rest-triangles.js';
export { buildRestTriangles } from './rest-triangles.js';
