import type { ReviewSet } from '../review/review-model.js';
import { figure, share } from './dom.js';

export type FigureName = keyof ReviewSet['figures'];

/** Criteria in words; `best` tells which end is better. */
export const CRITERIA: readonly {
  readonly name: FigureName;
  readonly label: string;
  readonly best: 'low' | 'high';
  readonly show: (value: number) => string;
}[] = [
  { name: 'stretch', label: 'stretch', best: 'low', show: figure },
  { name: 'predicted', label: 'stretch predicted', best: 'low', show: figure },
  { name: 'exposure', label: 'seam in view', best: 'low', show: figure },
  { name: 'frontExposure', label: 'seam in view from the front', best: 'low', show: figure },
  { name: 'seamLength', label: 'seam length', best: 'low', show: figure },
  { name: 'pieces', label: 'pieces', best: 'low', show: figure },
  { name: 'symmetry', label: 'mirrored', best: 'high', show: share },
  { name: 'fill', label: 'sheet filled', best: 'high', show: share },
  { name: 'score', label: 'score', best: 'high', show: figure },
];
