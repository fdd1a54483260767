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
  /** Peaks over less than this share of the surface are left. */
  readonly smallestRelief: number;
  /** Unfold small hard shells, as buckles, in one piece; otherwise every sharp edge of them is cut. */
  readonly unfolds: boolean;
  /** Stretch that a dead end must save to stay, and a tear to be made; see pruneSeams. */
  readonly worth: number;
  /** What sets it apart where nothing can be taken off. */
  readonly manner?: string;
}

const LIMBS: readonly PartName[] = ['head', 'arm', 'leg', 'wing', 'tail', 'branch'];

/** The ways a body is commonly taken apart, from the least to the most pieces. */
export const STRATEGIES: readonly Strategy[] = [
  {
    name: 'one piece',
    takenOff: [],
    trunk: 'centre',
    reliefProminence: 2,
    smallestRelief: 0.002,
    unfolds: true,
    worth: 0.15,
  },
  {
    name: 'head and body',
    takenOff: ['head'],
    trunk: 'centre',
    reliefProminence: 2,
    smallestRelief: 0.002,
    unfolds: true,
    worth: 0.15,
  },
  {
    name: 'body suit',
    takenOff: ['head', 'hand', 'foot', 'wing'],
    trunk: 'centre',
    reliefProminence: 0.9,
    smallestRelief: 0.0005,
    unfolds: true,
    worth: 0.2,
    manner: 'few reliefs',
  },
  {
    name: 'limbs apart, back opened',
    takenOff: LIMBS,
    trunk: 'centre',
    reliefProminence: 1.5,
    smallestRelief: 0.002,
    unfolds: true,
    worth: 0.06,
    manner: 'more reliefs',
  },
  {
    name: 'limbs apart, sides opened',
    takenOff: LIMBS,
    trunk: 'sides',
    reliefProminence: 1.5,
    smallestRelief: 0.002,
    unfolds: true,
    worth: 0.06,
    manner: 'sides opened',
  },
  {
    name: 'joints apart',
    takenOff: [...LIMBS, 'hand', 'foot', 'ear', 'horn'],
    trunk: 'centre',
    reliefProminence: 0.9,
    smallestRelief: 0.0002,
    unfolds: false,
    worth: 0.06,
    manner: 'most reliefs',
  },
];

/**
 * A set's name by what was done: a strategy that found nothing to take off is named for what it came to, and what opens
 * a back opens the belly of a prone body. No two sets of a proposal have the same.
 */
export function nameSet(strategy: Strategy, roles: ReadonlySet<string>, isProne: boolean): string {
  if (roles.has('collar')) return isProne ? strategy.name.replace('back', 'belly') : strategy.name;
  const whole = roles.has('crease') ? 'surfaces apart' : 'whole shells';
  return strategy.manner ? `${whole}, ${strategy.manner}` : whole;
}
