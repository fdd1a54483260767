export { arrangeCharts } from './arrange-charts.js';
export type { FlatChartLike, FlatSetLike } from './flat-chart.js';
export { pickFlatChart } from './flat-chart.js';
export type { Layout, LayoutDensity, LayoutTile, PlacedChart } from './layout.js';
export type { DensityWeights, LayoutOptions, LayoutRotation, LockedCharts } from './layout-options.js';
export { defaultPadding, LAYOUT_DEFAULTS } from './layout-options.js';
export { udimTile } from './udim.js';
