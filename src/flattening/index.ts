export { findBorderCrossings } from './border-crossings.js';
export type { FlatChart } from './flatten-chart.js';
export { flattenChart } from './flatten-chart.js';
export type { ChartLabels, FlatSet, FlatSetChart, SeamsToFlatten } from './flatten-charts.js';
export { flattenCharts } from './flatten-charts.js';
export type { FlattenMethod, FlattenOptions } from './flatten-options.js';
export { FLATTEN_DEFAULTS } from './flatten-options.js';
export type { RestTriangles } from './rest-triangles.js';
export { buildRestTriangles } from './rest-triangles.js';
