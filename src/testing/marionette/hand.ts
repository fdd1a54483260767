import type { Vec3 } from '../../math/index.js';
import { add, cross, dot, normalize, scale, subtract } from '../../math/index.js';
import { FOREARM_DIRECTION, HAND_FRONT, HAND_UP, WRIST } from './arm.js';
import type { JointWeights } from './body-parts.js';
import { FINGERS } from './body-parts.js';
import type { HalfCage } from './half-cage.js';
import type { KeyRing, LoopNeed } from './loft.js';
import { alignRing, existingRing, loft } from './loft.js';

/** Places of the back of the hand and of the palm in a ring of ten, from the thumb's side to the little finger's. */
const DORSAL = [3, 2, 1, 0, 9];
const PALMAR = [4, 5, 6, 7, 8];

const AT_WRIST: JointWeights = { spine: 1, shoulder: 1, elbow: 1, wrist: 1 };

/** Point of the hand: along the hand from the wrist, towards the thumb, towards the back of the hand. */
const handPoint = (along: number, front: number, up: number): Vec3 =>
  add(WRIST, add(scale(FOREARM_DIRECTION, along), add(scale(HAND_FRONT, front), scale(HAND_UP, up))));

interface PalmSection {
  /** Distance from the wrist at the five places across. */
  readonly along: readonly number[];
  /** Extent towards the thumb and towards the little finger. */
  readonly front: number;
  readonly back: number;
  readonly thickness: number;
}

const PALM: readonly PalmSection[] = [
  { along: [0.018, 0.018, 0.018, 0.018, 0.018], front: 0.031, back: 0.03, thickness: 0.0175 },
  { along: [0.053, 0.056, 0.057, 0.054, 0.05], front: 0.04, back: 0.037, thickness: 0.0155 },
  { along: [0.084, 0.095, 0.095, 0.088, 0.074], front: 0.0415, back: 0.0395, thickness: 0.0115 },
];

/** Five places across a section: the back of the hand is domed, the palm slightly hollow. */
function palmRing({ along, front, back, thickness }: PalmSection): Vec3[] {
  const points: Vec3[] = new Array(10);
  for (let j = 0; j < 5; j++) {
    const x = front + ((-back - front) * j) / 4;
    const dome = [0.55, 0.95, 1.08, 1, 0.55][j]!;
    const hollow = [-0.75, -1, -0.85, -0.95, -0.7][j]!;
    points[DORSAL[j]!] = handPoint(along[j]!, x, thickness * dome);
    points[PALMAR[j]!] = handPoint(along[j]!, x, thickness * hollow);
  }
  return points;
}

/** Length, spread towards the thumb and droop towards the palm, half width, of index to little finger. */
const FINGER_SHAPES = [
  { length: 0.074, spread: 0.1, radius: 0.0088 },
  { length: 0.082, spread: 0.02, radius: 0.009 },
  { length: 0.076, spread: -0.06, radius: 0.0086 },
  { length: 0.06, spread: -0.16, radius: 0.0076 },
];

export interface HandParts {
  readonly hand: number;
  /** Thumb first; the others are unused on a mitten. */
  readonly fingers: readonly number[];
}

/** Builds palm, thumb and either four fingers or a mitten on the wrist's ring. */
export function buildHand(
  cage: HalfCage,
  wrist: readonly number[],
  parts: HandParts,
  options: { hasFingers: boolean; spacing: number },
): void {
  const { hasFingers, spacing } = options;
  const palms = PALM.map(palmRing);
  const keys: KeyRing[] = [
    existingRing(cage, wrist),
    ...palms.map((points): KeyRing => ({ points, weights: AT_WRIST, loop: 'always' })),
  ];
  if (!hasFingers) keys.push(...mittenRings());
  const rings = loft(cage, keys, {
    isClosed: true,
    part: () => parts.hand,
    spacing: 1.4 * spacing,
    first: wrist,
    hole: (key, place) => key === 1 && place === 3,
  });
  const [, near, far, knuckles] = rings as [number[], number[], number[], number[]];
  buildFinger(cage, [near[3]!, near[4]!, far[4]!, far[3]!], -1, parts.fingers[0]!, spacing);
  const end = hasFingers ? knuckles : rings[rings.length - 1]!;
  for (let j = 0; j < 4; j++) {
    const base = [end[DORSAL[j]!]!, end[PALMAR[j]!]!, end[PALMAR[j + 1]!]!, end[DORSAL[j + 1]!]!];
    if (hasFingers) buildFinger(cage, base, j, parts.fingers[j + 1]!, spacing);
    else cage.quad(base[0]!, base[1]!, base[2]!, base[3]!, parts.hand);
  }
}

function mittenRings(): KeyRing[] {
  const along = (base: number) => [base - 0.006, base + 0.002, base + 0.003, base, base - 0.008];
  return [
    { section: { along: along(0.13), front: 0.038, back: 0.036, thickness: 0.0125 }, curl: 0.5 },
    { section: { along: along(0.158), front: 0.029, back: 0.028, thickness: 0.01 }, curl: 1 },
  ].map(
    ({ section, curl }): KeyRing => ({
      points: palmRing(section),
      weights: { ...AT_WRIST, knuckle: curl },
      loop: 'always',
    }),
  );
}

/** A ring along a finger: share of its length, width as a share of the radius, bend at the two joints. */
interface FingerSection {
  readonly at: number;
  readonly width: number;
  readonly knuckle: number;
  readonly phalanx: number;
  readonly loop: LoopNeed;
}

const FINGER_SECTIONS: readonly FingerSection[] = [
  { at: 0.13, width: 1, knuckle: 0.6, phalanx: 0, loop: 'usual' },
  { at: 0.3, width: 0.97, knuckle: 1, phalanx: 0, loop: 'shape' },
  { at: 0.5, width: 1.02, knuckle: 1, phalanx: 0.5, loop: 'always' },
  { at: 0.72, width: 0.92, knuckle: 1, phalanx: 1, loop: 'shape' },
  { at: 0.9, width: 0.8, knuckle: 1, phalanx: 1, loop: 'usual' },
  { at: 0.99, width: 0.45, knuckle: 1, phalanx: 1, loop: 'always' },
];
const THUMB_SECTIONS: readonly FingerSection[] = [
  { at: 0.3, width: 1.16, knuckle: 0.6, phalanx: 0, loop: 'usual' },
  { at: 0.46, width: 1.04, knuckle: 1, phalanx: 0.3, loop: 'shape' },
  { at: 0.62, width: 1.02, knuckle: 1, phalanx: 0.8, loop: 'always' },
  { at: 0.9, width: 0.82, knuckle: 1, phalanx: 1, loop: 'usual' },
  { at: 0.99, width: 0.45, knuckle: 1, phalanx: 1, loop: 'always' },
];

/** Where each finger hinges: the base and the middle joint, thumb first, with the axis it curls about. */
export interface FingerHinge {
  readonly knuckle: Vec3;
  readonly phalanx: Vec3;
  readonly axis: Vec3;
}

interface FingerAxis {
  readonly base: Vec3;
  readonly direction: Vec3;
  readonly up: Vec3;
  readonly length: number;
  readonly radius: number;
}

const THUMB_DIRECTION = normalize(
  add(scale(FOREARM_DIRECTION, 0.68), add(scale(HAND_FRONT, 0.7), scale(HAND_UP, -0.3))),
);
const THUMB_UP = normalize(add(scale(HAND_UP, 0.72), scale(HAND_FRONT, 0.55)));

function fingerAxis(j: number): FingerAxis {
  if (j < 0) {
    const up = normalize(subtract(THUMB_UP, scale(THUMB_DIRECTION, dot(THUMB_UP, THUMB_DIRECTION))));
    return {
      base: handPoint(0.04, 0.036, -0.001),
      direction: THUMB_DIRECTION,
      up,
      length: 0.07,
      radius: 0.0108,
    };
  }
  const { length, spread, radius } = FINGER_SHAPES[j]!;
  const { along, front, back } = PALM[2]!;
  const x = front + ((-back - front) * (j + 0.5)) / 4;
  const direction = normalize(add(FOREARM_DIRECTION, add(scale(HAND_FRONT, spread), scale(HAND_UP, -0.1))));
  const up = normalize(subtract(HAND_UP, scale(direction, dot(HAND_UP, direction))));
  return { base: handPoint((along[j]! + along[j + 1]!) / 2, x, 0.0005), direction, up, length, radius };
}

/** Hinges of the left hand's fingers in the order of FINGERS. */
export const FINGER_HINGES: readonly FingerHinge[] = FINGERS.map((_, i) => {
  const { base, direction, up, length } = fingerAxis(i - 1);
  return {
    knuckle: base,
    phalanx: add(base, scale(direction, 0.5 * length)),
    axis: cross(up, direction),
  };
});

function fingerRing(axis: FingerAxis, at: number, width: number): Vec3[] {
  const side = cross(axis.direction, axis.up);
  const droop = -0.1 * at * at * axis.length;
  const centre = add(axis.base, add(scale(axis.direction, at * axis.length), scale(axis.up, droop)));
  const r = axis.radius * width;
  // Corners of a square, a little narrower than it is tall; the smooth surface through them is round.
  const corner = (s: number, t: number) =>
    add(centre, add(scale(side, s * 0.72 * r), scale(axis.up, t * 0.76 * r)));
  return [corner(1, 1), corner(1, -1), corner(-1, -1), corner(-1, 1)];
}

/** Builds a finger on its base ring: -1 the thumb, 0 the index to 3 the little finger. */
function buildFinger(
  cage: HalfCage,
  base: readonly number[],
  j: number,
  part: number,
  spacing: number,
): void {
  const axis = fingerAxis(j);
  const first = existingRing(cage, base);
  // The coarsest cage ends bluntly: a ring as small as the tip's would leave a spike.
  const isCoarse = spacing === Number.POSITIVE_INFINITY;
  const sections = (j < 0 ? THUMB_SECTIONS : FINGER_SECTIONS).slice(0, isCoarse ? -1 : undefined);
  const keys: KeyRing[] = [
    first,
    ...sections.map(({ at, width, knuckle, phalanx, loop }) => ({
      points: alignRing(fingerRing(axis, at, width), first.points),
      weights: { ...AT_WRIST, knuckle, phalanx },
      loop,
    })),
  ];
  const tip = loft(cage, keys, { isClosed: true, part: () => part, spacing, first: base }).at(-1)!;
  cage.quad(tip[0]!, tip[1]!, tip[2]!, tip[3]!, part);
}
