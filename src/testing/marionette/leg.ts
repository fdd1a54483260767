import type { Vec3 } from '../../math/index.js';
import type { JointWeights } from './body-parts.js';
import type { HalfCage } from './half-cage.js';
import type { KeyRing, LoopNeed } from './loft.js';
import { existingRing, loft } from './loft.js';

export const HIP: Vec3 = [0.09, 0.93, -0.005];
export const KNEE: Vec3 = [0.112, 0.505, 0];
export const ANKLE: Vec3 = [0.133, 0.085, -0.025];

/** Places of the instep and of the sole in the leg's ring of twelve, from the inner to the outer side. */
const DORSAL = [1, 0, 11, 10, 9, 8];
const PLANTAR = [2, 3, 4, 5, 6, 7];

interface LegSection {
  readonly y: number;
  /** How much higher the ring runs on the outside, and at the back. */
  readonly tilt?: number;
  readonly lift?: number;
  readonly x: number;
  readonly z: number;
  readonly outer: number;
  readonly inner: number;
  readonly front: number;
  readonly back: number;
  readonly weights: JointWeights;
  readonly loop?: LoopNeed;
}

const SECTIONS: readonly LegSection[] = [
  {
    y: 0.815,
    tilt: 0.045,
    x: 0.09,
    z: -0.008,
    outer: 0.088,
    inner: 0.08,
    front: 0.085,
    back: 0.094,
    weights: { hip: 0.8 },
    loop: 'always',
  },
  {
    y: 0.745,
    tilt: 0.018,
    x: 0.095,
    z: -0.005,
    outer: 0.082,
    inner: 0.077,
    front: 0.083,
    back: 0.086,
    weights: { hip: 1 },
  },
  {
    y: 0.66,
    tilt: 0.004,
    x: 0.102,
    z: -0.002,
    outer: 0.071,
    inner: 0.07,
    front: 0.076,
    back: 0.072,
    weights: { hip: 1 },
    loop: 'always',
  },
  {
    y: 0.57,
    x: 0.109,
    z: 0,
    outer: 0.06,
    inner: 0.06,
    front: 0.064,
    back: 0.06,
    weights: { hip: 1, knee: 0.08 },
  },
  {
    y: 0.51,
    x: 0.112,
    z: 0.003,
    outer: 0.053,
    inner: 0.055,
    front: 0.058,
    back: 0.052,
    weights: { hip: 1, knee: 0.48 },
    loop: 'always',
  },
  {
    y: 0.455,
    x: 0.115,
    z: -0.002,
    outer: 0.052,
    inner: 0.053,
    front: 0.052,
    back: 0.056,
    weights: { hip: 1, knee: 0.92 },
  },
  {
    y: 0.37,
    x: 0.12,
    z: -0.012,
    outer: 0.053,
    inner: 0.053,
    front: 0.044,
    back: 0.062,
    weights: { hip: 1, knee: 1 },
    loop: 'always',
  },
  {
    y: 0.27,
    x: 0.126,
    z: -0.018,
    outer: 0.043,
    inner: 0.043,
    front: 0.04,
    back: 0.05,
    weights: { hip: 1, knee: 1 },
  },
  {
    y: 0.18,
    x: 0.13,
    z: -0.021,
    outer: 0.034,
    inner: 0.034,
    front: 0.035,
    back: 0.038,
    weights: { hip: 1, knee: 1 },
    loop: 'usual',
  },
  {
    y: 0.118,
    lift: -0.006,
    x: 0.133,
    z: -0.024,
    outer: 0.033,
    inner: 0.034,
    front: 0.036,
    back: 0.036,
    weights: { hip: 1, knee: 1, ankle: 0.3 },
    loop: 'always',
  },
];

interface FootSection {
  /** Height and depth on the instep, height and depth on heel or sole. */
  readonly dorsal: readonly [number, number];
  readonly plantar: readonly [number, number];
  readonly inner: number;
  readonly outer: number;
  /** 0 is round like the leg, 1 boxy like the sole. */
  readonly boxiness: number;
  readonly ankle: number;
  readonly loop: LoopNeed;
}

const FOOT: readonly FootSection[] = [
  {
    dorsal: [0.096, 0.022],
    plantar: [0.05, -0.073],
    inner: 0.036,
    outer: 0.034,
    boxiness: 0.2,
    ankle: 0.7,
    loop: 'always',
  },
  {
    dorsal: [0.086, 0.04],
    plantar: [0.014, -0.07],
    inner: 0.036,
    outer: 0.035,
    boxiness: 0.5,
    ankle: 0.9,
    loop: 'usual',
  },
  {
    dorsal: [0.074, 0.064],
    plantar: [0.001, -0.035],
    inner: 0.035,
    outer: 0.037,
    boxiness: 0.85,
    ankle: 1,
    loop: 'always',
  },
  {
    dorsal: [0.058, 0.092],
    plantar: [0.002, 0.03],
    inner: 0.036,
    outer: 0.042,
    boxiness: 1,
    ankle: 1,
    loop: 'always',
  },
  {
    dorsal: [0.041, 0.122],
    plantar: [0, 0.088],
    inner: 0.045,
    outer: 0.047,
    boxiness: 1,
    ankle: 1,
    loop: 'shape',
  },
];
/** The ball of the foot, where the toes begin: depth on top and below at the six places across. */
const BALL = {
  top: [0.15, 0.154, 0.152, 0.146, 0.136, 0.122],
  below: [0.132, 0.134, 0.132, 0.126, 0.116, 0.106],
};
const BALL_TOP = [0.024, 0.032, 0.029, 0.027, 0.024, 0.017];
const BALL_BELOW = [0.006, 0.001, 0.001, 0.001, 0.001, 0.004];
/** Across the ball from the inner to the outer side; the big toe takes the largest share. */
const ACROSS = [-0.047, -0.02, -0.001, 0.016, 0.032, 0.047];

const TOE_OUT = 0.13;
/** The foot turns out a little about the ankle. */
function turnOut([x, y, z]: Vec3): Vec3 {
  const c = Math.cos(TOE_OUT);
  const s = Math.sin(TOE_OUT);
  const forward = z - ANKLE[2];
  const amount = Math.min(1, Math.max(0, (0.12 - y) / 0.06));
  if (amount === 0) return [x, y, z];
  const turned: Vec3 = [
    ANKLE[0] + c * (x - ANKLE[0]) + s * forward,
    y,
    ANKLE[2] - s * (x - ANKLE[0]) + c * forward,
  ];
  return [x + amount * (turned[0] - x), y, z + amount * (turned[2] - z)];
}

function legRing({ y, tilt = 0, lift = 0, x, z, outer, inner, front, back }: LegSection): Vec3[] {
  return Array.from({ length: 12 }, (_, m) => {
    const angle = ((-45 - 30 * m) * Math.PI) / 180;
    const c = Math.cos(angle);
    const s = Math.sin(angle);
    return [x + s * (s > 0 ? outer : inner), y + tilt * s - lift * c, z + c * (c > 0 ? front : back)];
  });
}

function footRing({ dorsal, plantar, inner, outer, boxiness }: FootSection): Vec3[] {
  const points: Vec3[] = new Array(12);
  for (let j = 0; j < 6; j++) {
    const angle = ((-75 + 30 * j) * Math.PI) / 180;
    const flat = (j - 2.5) / 2.5;
    const side = boxiness * Math.sign(flat) * Math.abs(flat) ** 0.85 + (1 - boxiness) * Math.sin(angle);
    const x = ANKLE[0] + side * (side > 0 ? outer : inner);
    const round = (1 - Math.cos(angle)) / 2;
    const top = boxiness * [0.42, 0.1, 0, 0, 0.12, 0.45][j]! + (1 - boxiness) * round;
    const below = 1 - (boxiness * [0.22, 0.02, 0, 0, 0.02, 0.2][j]! + (1 - boxiness) * round);
    const at = (share: number): Vec3 => [
      x,
      dorsal[0] + share * (plantar[0] - dorsal[0]),
      dorsal[1] + share * (plantar[1] - dorsal[1]),
    ];
    points[DORSAL[j]!] = turnOut(at(top));
    points[PLANTAR[j]!] = turnOut(at(below));
  }
  return points;
}

function ballRing(): Vec3[] {
  const points: Vec3[] = new Array(12);
  for (let j = 0; j < 6; j++) {
    points[DORSAL[j]!] = turnOut([ANKLE[0] + ACROSS[j]!, BALL_TOP[j]!, BALL.top[j]!]);
    points[PLANTAR[j]!] = turnOut([ANKLE[0] + ACROSS[j]!, BALL_BELOW[j]!, BALL.below[j]!]);
  }
  return points;
}

export interface LegParts {
  readonly leg: number;
  readonly foot: number;
  readonly toes: readonly number[];
}

const IN_FOOT: JointWeights = { hip: 1, knee: 1, ankle: 1 };

/** Builds leg, foot and toes on the torso's leg ring. */
export function buildLeg(
  cage: HalfCage,
  ring: readonly number[],
  parts: LegParts,
  options: { hasToes: boolean; spacing: number },
): void {
  const { hasToes, spacing } = options;
  const keys: KeyRing[] = [
    existingRing(cage, ring),
    ...SECTIONS.map((section) => ({
      points: legRing(section),
      weights: section.weights,
      loop: section.loop ?? ('shape' as const),
    })),
    ...FOOT.map((section) => ({
      points: footRing(section),
      weights: { ...IN_FOOT, ankle: section.ankle },
      loop: section.loop,
    })),
    { points: ballRing(), weights: IN_FOOT, loop: 'always' },
  ];
  if (!hasToes) keys.push(...cappedToes());
  const rings = loft(cage, keys, {
    isClosed: true,
    part: (key) => (key < SECTIONS.length ? parts.leg : parts.foot),
    spacing,
    first: ring,
  });
  const end = rings[rings.length - 1]!;
  for (let j = 0; j < 5; j++) {
    const base = [end[DORSAL[j]!]!, end[PLANTAR[j]!]!, end[PLANTAR[j + 1]!]!, end[DORSAL[j + 1]!]!];
    if (hasToes) buildToe(cage, base, j, parts.toes[j]!, spacing);
    else cage.quad(base[0]!, base[1]!, base[2]!, base[3]!, parts.foot);
  }
}

const TOES = [
  { length: 0.047, radius: 0.0132, height: 0.0125 },
  { length: 0.036, radius: 0.0082, height: 0.0095 },
  { length: 0.033, radius: 0.0076, height: 0.009 },
  { length: 0.03, radius: 0.007, height: 0.0085 },
  { length: 0.027, radius: 0.0068, height: 0.008 },
];

function buildToe(cage: HalfCage, base: readonly number[], j: number, part: number, spacing: number): void {
  const { length, radius, height } = TOES[j]!;
  const middle = (ACROSS[j]! + ACROSS[j + 1]!) / 2;
  const start = (BALL.top[j]! + BALL.top[j + 1]! + BALL.below[j]! + BALL.below[j + 1]!) / 4;
  const toeRing = (at: number, width: number, tall: number): Vec3[] => {
    const x = ANKLE[0] + middle * (1 + 0.1 * at);
    const z = start + at * length;
    const low = 0.0015 + height * 0.5 * (1 - tall);
    const corner = (s: number, top: boolean): Vec3 =>
      turnOut([
        x + s * 0.8 * radius * width,
        top ? low + 1.7 * height * tall : low,
        z - (top ? 0.002 * at : 0),
      ]);
    return [corner(-1, true), corner(-1, false), corner(1, false), corner(1, true)];
  };
  const keys: KeyRing[] = [
    existingRing(cage, base),
    { points: toeRing(0.3, 0.95, 1), weights: IN_FOOT, loop: 'usual' },
    { points: toeRing(0.72, 1, 0.95), weights: IN_FOOT, loop: 'always' },
    { points: toeRing(0.97, 0.6, 0.55), weights: IN_FOOT, loop: 'always' },
  ];
  const tip = loft(cage, keys, { isClosed: true, part: () => part, spacing, first: base }).at(-1)!;
  cage.quad(tip[0]!, tip[1]!, tip[2]!, tip[3]!, part);
}

/** The front of a foot without toes, as in a sock. */
function cappedToes(): KeyRing[] {
  const ring = (at: number, shrink: number): Vec3[] => {
    const points: Vec3[] = new Array(12);
    for (let j = 0; j < 6; j++) {
      const forward = [0.044, 0.046, 0.042, 0.036, 0.03, 0.022][j]! * at;
      const x = ANKLE[0] + ACROSS[j]! * (1 - 0.22 * shrink);
      const middle = 0.012;
      const flatten = (y: number) => middle + (y - middle) * (1 - 0.45 * shrink);
      points[DORSAL[j]!] = turnOut([x, flatten(BALL_TOP[j]!), BALL.top[j]! + forward]);
      points[PLANTAR[j]!] = turnOut([x, flatten(BALL_BELOW[j]!), BALL.below[j]! + forward * 1.3]);
    }
    return points;
  };
  return [
    { points: ring(0.6, 0.25), weights: IN_FOOT, loop: 'always' },
    { points: ring(1, 1), weights: IN_FOOT, loop: 'always' },
  ];
}
