import type { ScoredFigures } from './score-set.js';

/** How `a` differs from `b`, in words: pieces, stretch and seam in view. */
export function describeTradeOff(a: ScoredFigures, b: ScoredFigures): string {
  const phrases = [
    comparePieces(a.pieces, b.pieces),
    compareShare(a.stretch, b.stretch, 'stretch'),
    compareShare(a.exposure, b.exposure, 'seam in view'),
  ].filter((phrase) => phrase !== '');
  return phrases.length > 0 ? phrases.join(', ') : 'much the same on every count';
}

function comparePieces(a: number, b: number): string {
  if (a === b) return '';
  const difference = Math.abs(a - b);
  return `${difference} ${difference === 1 ? 'piece' : 'pieces'} ${a > b ? 'more' : 'fewer'}`;
}

function compareShare(a: number, b: number, what: string): string {
  if (!(a > 0) || !(b > 0)) return '';
  const change = a / b - 1;
  if (Math.abs(change) < 0.05) return '';
  return change < 0
    ? `${Math.round(-100 * change)} % less ${what}`
    : `${Math.round(100 * change)} % more ${what}`;
}
