import type { Vec3 } from '../../math/index.js';
import type { JointWeights } from './body-parts.js';
import type { HalfCage } from './half-cage.js';
import { listWeights } from './half-cage.js';
import type { KeyRing } from './loft.js';
import { loft } from './loft.js';

/** The open rings of the torso to which neck, arm and leg are joined (left half). */
export interface TorsoRings {
  /** Front centre, round the left, to back centre: 6 points. */
  readonly neck: readonly number[];
  /** Back over the top to the front and round below: 10 points. */
  readonly arm: readonly number[];
  /** Front centre, along the crotch to back centre, round the outside to the front: 12 points. */
  readonly leg: readonly number[];
  /** The hole for a tail: from the mirror plane above, round the left, to the plane below. */
  readonly tail: readonly number[] | undefined;
  /** The hole for a wing beside a shoulder blade, counter-clockwise seen from behind. */
  readonly wing: readonly number[] | undefined;
}

// Half rings of ten points, front centre to back centre; points 0-3 are the front, 3-6 the side, 6-9 the back.
const ANGLES = [90, 64, 41, 24, 8, -10, -28, -45, -66, -90];

export interface TorsoSection {
  /** Heights at the front, the side and the back. */
  readonly y: Vec3;
  readonly halfWidth: number;
  readonly front: number;
  readonly back: number;
  /** 2 is an ellipse; more is boxier. */
  readonly power?: number;
}

export function torsoSection({ y, halfWidth, front, back, power = 2.3 }: TorsoSection): Vec3[] {
  return ANGLES.map((degrees, k) => {
    const angle = (degrees * Math.PI) / 180;
    const c = k === 0 || k === 9 ? 0 : Math.cos(angle);
    const s = Math.sin(angle);
    const radius = (Math.abs(c) ** power + Math.abs(s) ** power) ** (-1 / power);
    const depth = s >= 0 ? front : back;
    const height = s >= 0 ? y[1] + (y[0] - y[1]) * s * s : y[1] + (y[2] - y[1]) * s * s;
    return [halfWidth * radius * c, height, depth * radius * s];
  });
}

const HIP_RING: Vec3[] = [
  [0, 0.862, 0.07],
  [0.045, 0.888, 0.084],
  [0.098, 0.925, 0.08],
  [0.145, 0.965, 0.052],
  [0.17, 0.978, 0.012],
  [0.173, 0.965, -0.035],
  [0.152, 0.915, -0.085],
  [0.108, 0.862, -0.117],
  [0.052, 0.842, -0.106],
  [0, 0.858, -0.068],
];

export const SHOULDER_RINGS: Vec3[][] = [
  // Level with the armpits.
  [
    [0, 1.33, 0.116],
    [0.06, 1.325, 0.128],
    [0.118, 1.332, 0.113],
    [0.153, 1.345, 0.072],
    [0.166, 1.342, 0.024],
    [0.168, 1.345, -0.034],
    [0.157, 1.36, -0.088],
    [0.112, 1.362, -0.121],
    [0.055, 1.365, -0.124],
    [0, 1.365, -0.111],
  ],
  [
    [0, 1.415, 0.087],
    [0.055, 1.412, 0.1],
    [0.112, 1.413, 0.092],
    [0.17, 1.412, 0.06],
    [0.18, 1.415, 0.02],
    [0.18, 1.42, -0.04],
    [0.176, 1.425, -0.082],
    [0.112, 1.44, -0.118],
    [0.052, 1.45, -0.113],
    [0, 1.455, -0.1],
  ],
  // Collar bones and the top of the back.
  [
    [0, 1.47, 0.046],
    [0.034, 1.474, 0.048],
    [0.11, 1.47, 0.05],
    [0.172, 1.466, 0.032],
    [0.187, 1.481, 0.0],
    [0.188, 1.483, -0.03],
    [0.174, 1.472, -0.062],
    [0.112, 1.49, -0.084],
    [0.04, 1.522, -0.071],
    [0, 1.528, -0.07],
  ],
];

const NECK_SIDE: Vec3[] = [
  [0.06, 1.5, 0.014],
  [0.062, 1.52, -0.03],
];
const SHOULDER_TOP: Vec3[] = [
  [0.118, 1.492, 0.014],
  [0.12, 1.5, -0.03],
];

/** The key ring below the tail's root. */
const TAIL_KEY = 1;
/** The key ring below the wings' roots, and their place on it. */
const WING_KEY = 6;
const WING_PLACE = 7;

/** Builds the trunk from hips to collar bones. */
export function buildTorso(
  cage: HalfCage,
  part: number,
  { spacing, hasTail, hasWings }: { spacing: number; hasTail: boolean; hasWings: boolean },
): TorsoRings {
  const list = (weights: JointWeights[]) => weights.map(listWeights);
  const hips = (...weights: number[]) => list(weights.map((hip) => ({ hip })));
  const shoulders = (...weights: number[]) => list(weights.map((shoulder) => ({ spine: 1, shoulder })));
  const keys: KeyRing[] = [
    {
      points: HIP_RING,
      weights: hips(0.12, 0.26, 0.34, 0.42, 0.48, 0.5, 0.5, 0.45, 0.3, 0.12),
      loop: 'always',
    },
    {
      points: torsoSection({ y: [0.925, 1.005, 0.91], halfWidth: 0.17, front: 0.09, back: 0.128 }),
      weights: hips(0, 0.1, 0.2, 0.28, 0.28, 0.26, 0.26, 0.26, 0.2, 0.05),
      loop: 'always',
    },
    {
      points: torsoSection({ y: [0.99, 1.05, 0.985], halfWidth: 0.156, front: 0.096, back: 0.108 }),
      weights: list([0, 0.03, 0.06, 0.1, 0.1, 0.1, 0.08, 0.05, 0.02, 0].map((hip) => ({ hip, spine: 0.1 }))),
      loop: hasTail ? 'always' : 'shape',
    },
    {
      points: torsoSection({ y: [1.09, 1.105, 1.09], halfWidth: 0.136, front: 0.09, back: 0.076 }),
      weights: { spine: 0.4 },
      loop: 'always',
    },
    {
      points: torsoSection({ y: [1.185, 1.185, 1.18], halfWidth: 0.149, front: 0.103, back: 0.093 }),
      weights: { spine: 0.75 },
      loop: 'always',
    },
    {
      points: torsoSection({ y: [1.255, 1.265, 1.265], halfWidth: 0.161, front: 0.115, back: 0.112 }),
      weights: { spine: 0.95 },
      loop: 'shape',
    },
    {
      points: SHOULDER_RINGS[0]!,
      weights: shoulders(0, 0, 0.05, 0.14, 0.2, 0.2, 0.16, 0.06, 0, 0),
      loop: 'always',
    },
    {
      points: SHOULDER_RINGS[1]!,
      weights: shoulders(0, 0, 0.06, 0.3, 0.3, 0.3, 0.3, 0.06, 0, 0),
      loop: 'always',
    },
    {
      points: SHOULDER_RINGS[2]!,
      weights: shoulders(0, 0, 0.06, 0.3, 0.4, 0.4, 0.3, 0.05, 0, 0),
      loop: 'always',
    },
  ];
  const rings = loft(cage, keys, {
    isClosed: false,
    part: () => part,
    spacing,
    hole: (key, place) =>
      (key >= 6 && place >= 3 && place < 6) ||
      (hasTail && key === TAIL_KEY && place === 8) ||
      (hasWings && key === WING_KEY && place === WING_PLACE),
  });
  const [armpit, chest, top] = rings.slice(-3) as [number[], number[], number[]];
  const bottom = rings[0]!;
  const neckSide = NECK_SIDE.map((p) => cage.point(p, { spine: 1 }));
  const shoulderTop = SHOULDER_TOP.map((p) => cage.point(p, { spine: 1, shoulder: 0.1 }));
  const lines = [
    [top[1]!, ...neckSide, top[8]!],
    [top[2]!, ...shoulderTop, top[7]!],
    [top[3]!, top[4]!, top[5]!, top[6]!],
  ];
  for (let i = 0; i < 2; i++)
    for (let j = 0; j < 3; j++)
      cage.quad(lines[i]![j]!, lines[i + 1]![j]!, lines[i + 1]![j + 1]!, lines[i]![j + 1]!, part);
  const crotch = [cage.point([0, 0.832, 0.03], {}), cage.point([0, 0.832, -0.028], {})];
  const [below, above] = [rings[TAIL_KEY]!, rings[TAIL_KEY + 1]!];
  return {
    tail: hasTail ? [above[9]!, above[8]!, below[8]!, below[9]!] : undefined,
    wing: hasWings
      ? [chest[WING_PLACE]!, armpit[WING_PLACE]!, armpit[WING_PLACE + 1]!, chest[WING_PLACE + 1]!]
      : undefined,
    neck: [top[0]!, top[1]!, ...neckSide, top[8]!, top[9]!],
    arm: [
      top[6]!,
      top[5]!,
      top[4]!,
      top[3]!,
      chest[3]!,
      armpit[3]!,
      armpit[4]!,
      armpit[5]!,
      armpit[6]!,
      chest[6]!,
    ],
    leg: [bottom[0]!, ...crotch, ...bottom.slice(1).reverse()],
  };
}
