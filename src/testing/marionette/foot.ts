import type { Vec3 } from '../../math/index.js';
import type { JointWeights } from './body-parts.js';
import type { HalfCage } from './half-cage.js';
import type { KeyRing, LoopNeed } from './loft.js';
import { existingRing, loft } from './loft.js';

export const ANKLE: Vec3 = [0.133, 0.085, -0.025];

/** Places of the instep and of the sole in the leg's ring of twelve, from the inner to the outer side. */
export const DORSAL = [1, 0, 11, 10, 9, 8];
export const PLANTAR = [2, 3, 4, 5, 6, 7];

const IN_FOOT: JointWeights = { hip: 1, knee: 1, ankle: 1 };

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
    plantar: [0, 0.092],
    inner: 0.045,
    outer: 0.047,
    boxiness: 1,
    ankle: 1,
    loop: 'usual',
  },
];
/** The ball of the foot, where the toes begin: depth on top and below at the six places across. */
const BALL = {
  top: [0.15, 0.154, 0.152, 0.146, 0.136, 0.122],
  below: [0.143, 0.147, 0.145, 0.139, 0.129, 0.116],
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

/** The rings from ankle to ball, and to the tip when the foot ends as in a sock. */
export function footRings(hasToes: boolean): KeyRing[] {
  return [
    ...FOOT.map((section) => ({
      points: footRing(section),
      weights: { ...IN_FOOT, ankle: section.ankle },
      loop: section.loop,
    })),
    { points: ballRing(), weights: IN_FOOT, loop: 'always' },
    ...(hasToes ? [] : cappedToes()),
  ];
}

const TOES = [
  { length: 0.047, radius: 0.0132, height: 0.0125 },
  { length: 0.036, radius: 0.0082, height: 0.0095 },
  { length: 0.033, radius: 0.0076, height: 0.009 },
  { length: 0.03, radius: 0.007, height: 0.0085 },
  { length: 0.027, radius: 0.0068, height: 0.008 },
];

/** Builds a toe on its base ring: 0 the big one to 4 the little one. */
export function buildToe(
  cage: HalfCage,
  base: readonly number[],
  j: number,
  part: number,
  spacing: number,
): void {
  const { length, radius, height } = TOES[j]!;
  const middle = (ACROSS[j]! + ACROSS[j + 1]!) / 2;
  const inner = (BALL.top[j]! + BALL.below[j]!) / 2;
  const outer = (BALL.top[j + 1]! + BALL.below[j + 1]!) / 2;
  const toeRing = (at: number, width: number, tall: number): Vec3[] => {
    const x = ANKLE[0] + middle * (1 + 0.1 * at);
    // The slant of the toes' line fades along each toe.
    const slant = ((outer - inner) / 2) * Math.max(0, 1 - 1.3 * at);
    const z = (inner + outer) / 2 + at * length;
    const low = 0.0015 + height * 0.5 * (1 - tall);
    const corner = (s: number, top: boolean): Vec3 =>
      turnOut([
        x + s * 0.8 * radius * width,
        top ? low + 1.7 * height * tall : low,
        z + s * slant - (top ? 0.002 * at : 0),
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
