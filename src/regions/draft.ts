import type { LimbProfile } from './limb-profile.js';
import type { Naming } from './name-branches.js';

/** A part in the making. */
export interface Draft extends Naming {
  /** Index of the parent's draft, -1 for none. */
  parent: number;
  readonly shell: number;
  /** Work vertex, later mesh vertex, at the tip; -1 for none. */
  tip: number;
  readonly profile?: LimbProfile;
  /** Levels of the profile that the part spans. */
  from: number;
  to: number;
}

/** A draft for a whole shell. */
export function draftCore(shell: number): Draft {
  return {
    name: 'core',
    side: 'centre',
    confidence: 0.3,
    partner: -1,
    parent: -1,
    shell,
    tip: -1,
    from: 0,
    to: 0,
  };
}
