export type { CarryOptions, CarryResult, CarrySource } from './carry-over.js';
export { CARRY_DEFAULTS, carryOver } from './carry-over.js';
export type { ComparedFigure, FigureComparison, LayoutComparison, LayoutFigures } from './compare-layouts.js';
export { compareLayouts } from './compare-layouts.js';
