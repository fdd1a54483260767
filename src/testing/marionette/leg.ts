import type { Vec3 } from '../../math/index.js';
import type { JointWeights } from './body-parts.js';
import { buildToe, DORSAL, footRings, PLANTAR } from './foot.js';
import type { HalfCage } from './half-cage.js';
import type { KeyRing, LoopNeed } from './loft.js';
import { existingRing, loft } from './loft.js';

export const HIP: Vec3 = [0.09, 0.93, -0.005];
export const KNEE: Vec3 = [0.112, 0.505, 0];

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
function legRing({ y, tilt = 0, lift = 0, x, z, outer, inner, front, back }: LegSection): Vec3[] {
  return Array.from({ length: 12 }, (_, m) => {
    const angle = ((-45 - 30 * m) * Math.PI) / 180;
    const c = Math.cos(angle);
    const s = Math.sin(angle);
    return [x + s * (s > 0 ? outer : inner), y + tilt * s - lift * c, z + c * (c > 0 ? front : back)];
  });
}

export interface LegParts {
  readonly leg: number;
  readonly foot: number;
  readonly toes: readonly number[];
}

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
    ...footRings(hasToes),
  ];
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
