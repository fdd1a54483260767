import type { PartName } from '../regions/index.js';

/** How one seam set is drawn. */
export interface Strategy {
  readonly name: string;
  /** Parts that come away by a collar. */
  readonly takenOff: readonly PartName[];
  /** How border loops across the mirror plane are joined. */
  readonly trunk: 'centre' | 'sides';
  /** A peak of |log scale| is opened when it stands out by this much. */
  readonly reliefProminence: number;
  /** Cut hard shells at their sharp edges. */
  readonly alongCreases: boolean;
}

const LIMBS: readonly PartName[] = ['head', 'arm', 'leg', 'wing', 'tail', 'branch'];

/** The ways a body is commonly taken apart, from the least to the most pieces. */
export const STRATEGIES: readonly Strategy[] = [
  { name: 'one piece', takenOff: [], trunk: 'centre', reliefProminence: 2, alongCreases: false },
  { name: 'head and body', takenOff: ['head'], trunk: 'centre', reliefProminence: 2, alongCreases: false },
  {
    name: 'body suit',
    takenOff: ['head', 'hand', 'foot'],
    trunk: 'centre',
    reliefProminence: 1.5,
    alongCreases: true,
  },
  {
    name: 'limbs apart, back opened',
    takenOff: LIMBS,
    trunk: 'centre',
    reliefProminence: 1.5,
    alongCreases: true,
  },
  {
    name: 'limbs apart, sides opened',
    takenOff: LIMBS,
    trunk: 'sides',
    reliefProminence: 1.5,
    alongCreases: true,
  },
  {
    name: 'joints apart',
    takenOff: [...LIMBS, 'hand', 'foot', 'ear', 'horn'],
    trunk: 'centre',
    reliefProminence: 0.9,
    alongCreases: true,
  },
];

/** A set's name by what was done: a strategy that found nothing to take off is named for what it came to. */
export function nameSet(strategy: Strategy, roles: ReadonlySet<string>): string {
  if (roles.has('collar')) return strategy.name;
  return roles.has('crease') ? 'surfaces apart' : 'whole shells';
}
