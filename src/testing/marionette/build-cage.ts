import { buildArm } from './arm.js';
import { FINGERS, TOES } from './body-parts.js';
import type { Cage } from './half-cage.js';
import { HalfCage } from './half-cage.js';
import { buildHand } from './hand.js';
import { buildHead } from './head.js';
import { buildLeg } from './leg.js';
import { growSprout, TAIL, WING } from './sprout.js';
import { buildTorso } from './torso.js';

export interface CageOptions {
  readonly hasFingers: boolean;
  readonly hasToes: boolean;
  readonly hasMouthBag: boolean;
  readonly hasSockets: boolean;
  readonly hasEars: boolean;
  readonly hasHorns: boolean;
  readonly hasTail: boolean;
  readonly hasWings: boolean;
  /** Wanted distance between edge loops, metres, scaled to each part's own ring; Infinity gives the coarsest cage. */
  readonly spacing: number;
}

/** Distance between loops that keeps each part's cells about square, as shares of the spacing. */
const SHARES = { torso: 1.7, head: 1, arm: 0.9, hand: 0.4, leg: 1.25 };

/** Builds the whole body's cage: one closed shell. */
export function buildBodyCage(options: CageOptions): Cage {
  const { hasFingers, hasToes, hasMouthBag, hasSockets, hasTail, hasWings, spacing } = options;
  const cage = new HalfCage();
  const torso = cage.part({ name: 'torso' }, true);
  const head = cage.part({ name: 'head' }, true);
  const arm = cage.part({ name: 'arm' });
  const hand = cage.part({ name: 'hand' });
  const fingers = (hasFingers ? FINGERS : FINGERS.slice(0, 1)).map((digit) =>
    cage.part({ name: 'finger', digit }),
  );
  const leg = cage.part({ name: 'leg' });
  const foot = cage.part({ name: 'foot' });
  const toes = hasToes ? TOES.map((digit) => cage.part({ name: 'toe', digit })) : [];
  const ear = options.hasEars ? cage.part({ name: 'ear' }) : undefined;
  const horn = options.hasHorns ? cage.part({ name: 'horn' }) : undefined;
  const tail = hasTail ? cage.part({ name: 'tail' }, true) : 0;
  const wing = hasWings ? cage.part({ name: 'wing' }) : 0;
  const rings = buildTorso(cage, torso, { spacing: SHARES.torso * spacing, hasTail, hasWings });
  const hasFaceLoops = spacing !== Number.POSITIVE_INFINITY || hasMouthBag || hasSockets;
  buildHead(
    cage,
    rings.neck,
    { torso, head },
    { spacing: SHARES.head * spacing, hasFaceLoops, hasMouthBag, hasSockets, ear, horn },
  );
  if (rings.tail)
    growSprout(cage, rings.tail, TAIL, { part: tail, spacing: SHARES.arm * spacing, isHalf: true });
  if (rings.wing) growSprout(cage, rings.wing, WING, { part: wing, spacing: SHARES.leg * spacing });
  const wrist = buildArm(cage, rings.arm, arm, SHARES.arm * spacing);
  buildHand(cage, wrist, { hand, fingers }, { hasFingers, spacing: SHARES.hand * spacing });
  buildLeg(cage, rings.leg, { leg, foot, toes }, { hasToes, spacing: SHARES.leg * spacing });
  return cage.mirror();
}

const GRIDS = [1, 2, 3, 4, 5, 6, 8, 10, 12, 16];
/** Loops this far apart give nearly square cells. */
const SQUARE_SPACING = 0.03;

/** Chooses loops and subdivision so that the skin has about as many faces as wanted. */
export function fitResolution(
  faces: number,
  options: Omit<CageOptions, 'spacing'>,
): { cage: Cage; grid: number; spacing: number } {
  const build = (spacing: number) => buildBodyCage({ ...options, spacing });
  const least = build(Number.POSITIVE_INFINITY).faceCount;
  const square = build(SQUARE_SPACING).faceCount;
  const misfit = (grid: number) => Math.abs(Math.log(faces / (grid * grid * square)));
  const possible = GRIDS.filter((grid) => grid === 1 || grid * grid * least <= faces * 1.02);
  const grid = possible.reduce((best, candidate) => (misfit(candidate) < misfit(best) ? candidate : best));
  const wanted = faces / (grid * grid);
  // Counts fall in steps as the spacing grows: keep the nearest of a bisection.
  let low = SQUARE_SPACING / 3;
  let high = 0.4;
  let spacing = Number.POSITIVE_INFINITY;
  let best = build(spacing);
  for (let step = 0; step < 10; step++) {
    const middle = Math.sqrt(low * high);
    const cage = build(middle);
    if (Math.abs(cage.faceCount - wanted) < Math.abs(best.faceCount - wanted)) {
      best = cage;
      spacing = middle;
    }
    if (cage.faceCount > wanted) low = middle;
    else high = middle;
  }
  return { cage: best, grid, spacing };
}
