export { chooseSpread } from './choose-spread.js';
export { describeTradeOff } from './compare-figures.js';
export { dominates, findParetoFront } from './pareto-front.js';
export type { CriterionName, ScoredFigures } from './score-set.js';
export { CRITERION_WEIGHTS, gradeFigures, scoreSet } from './score-set.js';
