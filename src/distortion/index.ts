export type { ChartDistortion } from './chart-distortion.js';
export type { Overlaps } from './find-overlaps.js';
export { measureChart } from './measure-chart.js';
export type { LayoutChart, LayoutReport, MeasureLayoutOptions } from './measure-layout.js';
export { MEASURE_LAYOUT_DEFAULTS, measureLayout } from './measure-layout.js';
export type { PredictedChart } from './predict-chart.js';
export type { DistortionPrediction } from './predict-distortion.js';
export { DistortionPredictor, predictDistortion } from './predict-distortion.js';
