import type { Vec3 } from '../../math/index.js';
import { add, cross, normalize, scale } from '../../math/index.js';
import type { HalfCage } from './half-cage.js';
import type { KeyRing, LoopNeed } from './loft.js';
import { existingRing, loft } from './loft.js';

export const SHOULDER: Vec3 = [0.172, 1.44, -0.015];
export const ARM_DIRECTION: Vec3 = normalize([1, -1, 0.02]);
const FRONT: Vec3 = normalize(cross(ARM_DIRECTION, [1, 1, 0]));
const UP: Vec3 = cross(FRONT, ARM_DIRECTION);
const ELBOW_AT = 0.29;
const WRIST_AT = 0.545;
export const ELBOW: Vec3 = add(SHOULDER, scale(ARM_DIRECTION, ELBOW_AT));
/** The forearm points slightly forward of the upper arm. */
export const FOREARM_DIRECTION: Vec3 = normalize(add(ARM_DIRECTION, scale(FRONT, 0.14)));
export const WRIST: Vec3 = add(ELBOW, scale(FOREARM_DIRECTION, WRIST_AT - ELBOW_AT));
/** Towards the thumb, and towards the back of the hand, in the hand as modelled. */
export const HAND_FRONT: Vec3 = normalize(add(FRONT, scale(ARM_DIRECTION, -0.14)));
export const HAND_UP: Vec3 = cross(HAND_FRONT, FOREARM_DIRECTION);

interface ArmSection {
  readonly at: number;
  /** How much sooner the ring passes above than below. */
  readonly tilt?: number;
  readonly up: number;
  readonly down: number;
  readonly front: number;
  readonly back: number;
  readonly shoulder?: number;
  readonly elbow?: number;
  readonly wrist?: number;
  readonly loop?: LoopNeed;
}

const SECTIONS: readonly ArmSection[] = [
  {
    at: 0.078,
    tilt: 0.034,
    up: 0.055,
    down: 0.05,
    front: 0.058,
    back: 0.054,
    shoulder: 0.75,
    loop: 'always',
  },
  { at: 0.125, tilt: 0.014, up: 0.05, down: 0.047, front: 0.051, back: 0.05, shoulder: 1 },
  { at: 0.185, tilt: 0.004, up: 0.042, down: 0.044, front: 0.046, back: 0.046, loop: 'always' },
  { at: 0.24, up: 0.038, down: 0.04, front: 0.041, back: 0.042, elbow: 0.05 },
  { at: 0.285, up: 0.036, down: 0.037, front: 0.038, back: 0.04, elbow: 0.45, loop: 'always' },
  { at: 0.325, up: 0.038, down: 0.037, front: 0.04, back: 0.037, elbow: 0.92 },
  { at: 0.365, up: 0.038, down: 0.037, front: 0.042, back: 0.036, elbow: 1, loop: 'always' },
  { at: 0.44, up: 0.03, down: 0.031, front: 0.035, back: 0.032, elbow: 1, loop: 'usual' },
  { at: 0.51, up: 0.021, down: 0.022, front: 0.028, back: 0.027, elbow: 1, wrist: 0.12 },
  { at: 0.54, up: 0.0185, down: 0.0185, front: 0.027, back: 0.026, elbow: 1, wrist: 0.5, loop: 'always' },
];

/** Builds the arm from the torso's arm ring to the wrist ring, which it returns. */
export function buildArm(cage: HalfCage, ring: readonly number[], part: number, spacing: number): number[] {
  const keys: KeyRing[] = [
    existingRing(cage, ring),
    ...SECTIONS.map((section) => ({
      points: ring.map((_, m) => armPoint(section, m)),
      weights: {
        spine: 1,
        shoulder: section.shoulder ?? 1,
        elbow: section.elbow ?? 0,
        wrist: section.wrist ?? 0,
      },
      loop: section.loop ?? ('shape' as const),
    })),
  ];
  const rings = loft(cage, keys, { isClosed: true, part: () => part, spacing, first: ring });
  return rings[rings.length - 1]!;
}

/** Points of one of the arm's sections, grown about the arm's axis. */
export function armRing(index: number, growth: number): Vec3[] {
  const { up, down, front, back, ...rest } = SECTIONS[index]!;
  const section = {
    ...rest,
    up: growth * up,
    down: growth * down,
    front: growth * front,
    back: growth * back,
  };
  return Array.from({ length: 10 }, (_, m) => armPoint(section, m));
}

function armPoint(section: ArmSection, m: number): Vec3 {
  const { at, tilt = 0, up, down, front, back } = section;
  // The ring turns by half a cell between elbow and wrist, so that the hand's back has a middle line.
  const pronation = Math.min(1, Math.max(0, (at - ELBOW_AT) / (WRIST_AT - ELBOW_AT))) * 18;
  const angle = ((-54 + 36 * m + pronation) * Math.PI) / 180;
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const along = at - tilt * c;
  const isForearm = along > ELBOW_AT;
  const axis = isForearm
    ? add(ELBOW, scale(FOREARM_DIRECTION, along - ELBOW_AT))
    : add(SHOULDER, scale(ARM_DIRECTION, along));
  const u = isForearm ? HAND_UP : UP;
  const v = isForearm ? HAND_FRONT : FRONT;
  return add(axis, add(scale(u, c * (c > 0 ? up : down)), scale(v, s * (s > 0 ? front : back))));
}
