import type { Vec3 } from '../../math/index.js';
import type { JointWeights } from './body-parts.js';
import type { HalfCage } from './half-cage.js';
import type { KeyRing, LoopNeed } from './loft.js';
import { existingRing, loft } from './loft.js';
import { EAR, growSprout, HORN } from './sprout.js';

/** Places of the half ring's six points: how far sideways and how far forward, as shares. */
const SIDEWAYS = [0, 0.66, 0.985, 0.93, 0.54, 0];
const FORWARD = [1, 0.875, 0.58, 0.26, 0.06, 0];

/** Height and depth at the front, height and depth at the back, half width. */
const SECTIONS: readonly [number, number, number, number, number, LoopNeed][] = [
  [1.514, 0.04, 1.55, -0.068, 0.056, 'always'],
  [1.545, 0.046, 1.58, -0.075, 0.0565, 'usual'],
  [1.557, 0.09, 1.602, -0.085, 0.0595, 'always'],
  [1.581, 0.1025, 1.622, -0.093, 0.065, 'usual'],
  [1.615, 0.104, 1.648, -0.1, 0.07, 'always'],
  [1.638, 0.105, 1.667, -0.104, 0.073, 'always'],
  [1.66, 0.101, 1.684, -0.1055, 0.075, 'usual'],
  [1.697, 0.105, 1.712, -0.104, 0.0765, 'always'],
  [1.738, 0.099, 1.745, -0.096, 0.075, 'always'],
  [1.773, 0.074, 1.775, -0.077, 0.061, 'usual'],
  [1.793, 0.037, 1.794, -0.044, 0.034, 'always'],
];
/** Key rings below and above the mouth and the eyes; the torso's ring is key 0. */
const MOUTH = { below: 4, above: 5 };
const EYES = { below: 7, above: 8 };
const HORNS = { below: 9, above: 10 };

const IN_HEAD: JointWeights = { spine: 1, neck: 1 };

// Four corners, counter-clockwise seen from the front: inner below, outer below, outer above, inner above.
const LIPS: Vec3[] = [
  [0, 1.594, 0.106],
  [0.022, 1.598, 0.093],
  [0.022, 1.601, 0.093],
  [0, 1.604, 0.107],
];
const MOUTH_BAG: Vec3[][] = [
  [
    [0, 1.592, 0.096],
    [0.024, 1.596, 0.082],
    [0.024, 1.603, 0.082],
    [0, 1.606, 0.096],
  ],
  [
    [0, 1.588, 0.07],
    [0.02, 1.593, 0.06],
    [0.02, 1.607, 0.06],
    [0, 1.61, 0.07],
  ],
];
const ORBIT: Vec3[] = [
  [0.012, 1.6645, 0.0965],
  [0.0475, 1.665, 0.0835],
  [0.047, 1.6905, 0.0865],
  [0.012, 1.69, 0.098],
];
const LIDS: Vec3[] = [
  [0.0185, 1.6705, 0.0935],
  [0.0435, 1.671, 0.0855],
  [0.0435, 1.684, 0.0865],
  [0.0185, 1.6835, 0.0945],
];
/** The bulge of a closed eye. */
const CLOSED_EYE: Vec3[] = [
  [0.025, 1.6745, 0.0955],
  [0.037, 1.675, 0.0925],
  [0.037, 1.68, 0.093],
  [0.025, 1.6795, 0.096],
];
const SOCKET: Vec3[][] = [
  [
    [0.0165, 1.668, 0.082],
    [0.044, 1.6685, 0.075],
    [0.044, 1.686, 0.076],
    [0.0165, 1.6855, 0.083],
  ],
  [
    [0.02, 1.67, 0.064],
    [0.04, 1.67, 0.061],
    [0.04, 1.684, 0.061],
    [0.02, 1.684, 0.064],
  ],
];

export interface HeadOptions {
  readonly spacing: number;
  /** Loops round mouth and eyes. */
  readonly hasFaceLoops: boolean;
  /** A pocket behind the lips. */
  readonly hasMouthBag: boolean;
  /** Pockets for eyeballs. */
  readonly hasSockets: boolean;
  /** The part of the ears, where there are any. */
  readonly ear?: number;
  /** The part of the horns, where there are any. */
  readonly horn?: number;
}

/** Builds neck and head; the head's part starts at the narrowest ring of the neck. */
export function buildHead(
  cage: HalfCage,
  ring: readonly number[],
  parts: { torso: number; head: number },
  { spacing, hasFaceLoops, hasMouthBag, hasSockets, ear, horn }: HeadOptions,
): void {
  const isDetailed = hasFaceLoops || ear !== undefined || horn !== undefined;
  const keys: KeyRing[] = [
    existingRing(cage, ring),
    ...SECTIONS.map(
      ([frontY, frontZ, backY, backZ, halfWidth, need], i): KeyRing => ({
        points: SIDEWAYS.map((x, k): Vec3 => {
          const forward = FORWARD[k]!;
          return [x * halfWidth, backY + (frontY - backY) * forward, backZ + (frontZ - backZ) * forward];
        }),
        weights: { spine: 1, neck: [0.3, 0.7][i] ?? 1 },
        // The loops that bound mouth, eyes, ears and horns are there whenever those are.
        loop: isDetailed && need === 'usual' ? 'always' : need,
      }),
    ),
  ];
  const holes = [
    ...(hasFaceLoops ? [`${MOUTH.below} 0`, `${EYES.below} 0`] : []),
    ...(ear === undefined ? [] : [`${EYES.below} 2`]),
    ...(horn === undefined ? [] : [`${HORNS.below} 1`]),
  ];
  const rings = loft(cage, keys, {
    isClosed: false,
    part: (key) => (key === 0 ? parts.torso : parts.head),
    spacing,
    first: ring,
    hole: (key, place) => holes.includes(`${key} ${place}`),
  });
  const patch = ({ below, above }: { below: number; above: number }, place: number) => [
    rings[below]![place]!,
    rings[below]![place + 1]!,
    rings[above]![place + 1]!,
    rings[above]![place]!,
  ];
  if (hasFaceLoops) {
    nest(cage, patch(MOUTH, 0), [LIPS, ...(hasMouthBag ? MOUTH_BAG : [])], {
      part: parts.head,
      isOnPlane: true,
    });
    nest(cage, patch(EYES, 0), [ORBIT, LIDS, ...(hasSockets ? SOCKET : [CLOSED_EYE])], {
      part: parts.head,
      isOnPlane: false,
    });
  }
  if (ear !== undefined) growSprout(cage, patch(EYES, 2), EAR, { part: ear, spacing: spacing / 2 });
  if (horn !== undefined) growSprout(cage, patch(HORNS, 1), HORN, { part: horn, spacing: spacing / 2 });
  const h = rings[rings.length - 1]!;
  const crown = [0.014, -0.022].map((z) => cage.point([0, 1.8, z], IN_HEAD));
  cage.quad(h[0]!, h[1]!, h[2]!, crown[0]!, parts.head);
  cage.quad(crown[0]!, h[2]!, h[3]!, crown[1]!, parts.head);
  cage.quad(crown[1]!, h[3]!, h[4]!, h[5]!, parts.head);
}

/** Fills a four-sided hole with rings one inside the other and a quad; on the plane its last side stays open to the mirror image. */
function nest(
  cage: HalfCage,
  outer: readonly number[],
  rings: readonly (readonly Vec3[])[],
  options: { part: number; isOnPlane: boolean },
): void {
  let previous = outer;
  for (const points of rings) {
    const ring = points.map((p) => cage.point(p, IN_HEAD));
    for (let k = 0; k < (options.isOnPlane ? 3 : 4); k++) {
      const n = (k + 1) % 4;
      cage.quad(previous[k]!, previous[n]!, ring[n]!, ring[k]!, options.part);
    }
    previous = ring;
  }
  cage.quad(previous[0]!, previous[1]!, previous[2]!, previous[3]!, options.part);
}
