import type { Vec3 } from '../../math/index.js';
import { armRing } from './arm.js';
import type { JointWeights } from './body-parts.js';
import type { Cage } from './half-cage.js';
import { HalfCage, listWeights } from './half-cage.js';
import type { KeyRing } from './loft.js';
import { loft } from './loft.js';
import { SHOULDER_RINGS, torsoSection } from './torso.js';

/** How far the cloth lies off the skin, metres. */
const EASE = 0.014;

/** A knee-length tunic: one shell with four borders (neck, two sleeves, hem). */
export function buildTunic(spacing: number): Cage {
  const cage = new HalfCage();
  const part = cage.part({ name: 'garment' }, true);
  const even = (
    y: number,
    halfWidth: number,
    front: number,
    back: number,
    weights: JointWeights,
  ): KeyRing => ({
    points: torsoSection({ y: [y, y, y], halfWidth, front, back }),
    weights,
    loop: 'always',
  });
  const shoulders = (...weights: number[]) => weights.map((shoulder) => listWeights({ spine: 1, shoulder }));
  const keys: KeyRing[] = [
    even(0.6, 0.25, 0.17, 0.18, { hip: 0.9 }),
    even(0.76, 0.225, 0.145, 0.165, { hip: 0.85 }),
    even(0.92, 0.198, 0.122, 0.155, { hip: 0.4 }),
    even(1.09, 0.16, 0.115, 0.105, { spine: 0.4 }),
    even(1.21, 0.172, 0.13, 0.12, { spine: 0.8 }),
    {
      points: inflate(SHOULDER_RINGS[0]!),
      weights: shoulders(0, 0, 0.05, 0.14, 0.2, 0.2, 0.16, 0.06, 0, 0),
      loop: 'always',
    },
    {
      points: inflate(SHOULDER_RINGS[1]!),
      weights: shoulders(0, 0, 0.06, 0.3, 0.3, 0.3, 0.3, 0.06, 0, 0),
      loop: 'always',
    },
    {
      points: inflate(SHOULDER_RINGS[2]!, 0.012),
      weights: shoulders(0, 0, 0.06, 0.3, 0.4, 0.4, 0.3, 0.05, 0, 0),
      loop: 'always',
    },
  ];
  const rings = loft(cage, keys, {
    isClosed: false,
    part: () => part,
    spacing,
    hole: (key, place) => key >= 5 && place >= 3 && place < 6,
  });
  const [armpit, chest, top] = rings.slice(-3) as [number[], number[], number[]];
  // The shoulder seams' side of the neck hole, then the outer line of the shoulder.
  const neck: Vec3[] = [
    [0.075, 1.512, 0.02],
    [0.077, 1.522, -0.035],
  ];
  const shoulder: Vec3[] = [
    [0.128, 1.507, 0.016],
    [0.13, 1.513, -0.033],
  ];
  const place = (p: Vec3, weight: number) => cage.point(p, { spine: 1, shoulder: weight });
  const lines = [
    [top[1]!, ...neck.map((p) => place(p, 0)), top[8]!],
    [top[2]!, ...shoulder.map((p) => place(p, 0.1)), top[7]!],
    [top[3]!, top[4]!, top[5]!, top[6]!],
  ];
  for (let i = 0; i < 2; i++)
    for (let j = 0; j < 3; j++)
      cage.quad(lines[i]![j]!, lines[i + 1]![j]!, lines[i + 1]![j + 1]!, lines[i]![j + 1]!, part);
  const hole = [
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
  ];
  const sleeve: KeyRing[] = [
    { points: hole.map((p) => cage.position(p)), weights: hole.map((p) => cage.weights(p)), loop: 'always' },
    { points: armRing(0, 1.3), weights: { spine: 1, shoulder: 0.75 }, loop: 'always' },
    { points: armRing(2, 1.6), weights: { spine: 1, shoulder: 1 }, loop: 'always' },
  ];
  loft(cage, sleeve, { isClosed: true, part: () => part, spacing, first: hole });
  return cage.mirror();
}

/** Pushes a half ring of the torso outwards, away from the body's middle line, and up. */
function inflate(points: readonly Vec3[], up = 0): Vec3[] {
  return points.map(([x, y, z]) => {
    const distance = Math.hypot(x, z + 0.01);
    const k = (distance + EASE) / distance;
    return [k * x, y + up, -0.01 + k * (z + 0.01)];
  });
}

/** Where eyeballs sit in the head. */
export const EYE: Vec3 = [0.031, 1.677, 0.0795];
export const EYE_RADIUS = 0.0135;

/** A pair of eyeballs, two closed shells. */
export function buildEyes(): Cage {
  const cage = new HalfCage();
  addBall(cage, cage.part({ name: 'eye' }), {
    centre: EYE,
    radii: [EYE_RADIUS, EYE_RADIUS, EYE_RADIUS],
    weights: { spine: 1, neck: 1 },
  });
  return cage.mirror();
}

const SPINE_BY_HEIGHT = [
  [0.985, 0.1],
  [1.09, 0.4],
  [1.185, 0.75],
  [1.255, 0.95],
  [1.33, 1],
] as const;

/** How far the trunk at a height follows the spine. */
function spineWeight(y: number): number {
  for (let i = 0; i + 1 < SPINE_BY_HEIGHT.length; i++) {
    const [low, from] = SPINE_BY_HEIGHT[i]!;
    const [high, to] = SPINE_BY_HEIGHT[i + 1]!;
    if (y <= high) return from + (Math.max(0, y - low) / (high - low)) * (to - from);
  }
  return 1;
}

/** Buttons down the middle of the chest, each a closed shell; `front` gives the depth of the surface at a height. */
export function buildButtons(count: number, front: (y: number) => number): Cage {
  const cage = new HalfCage();
  for (let i = 0; i < count; i++) {
    const y = 1.39 - (0.34 * i) / Math.max(3, count - 1);
    addBall(cage, cage.part({ name: 'button' }, true), {
      centre: [0, y, front(y) + 0.003],
      radii: [0.0105, 0.0105, 0.0045],
      weights: { spine: spineWeight(y) },
    });
  }
  return cage.mirror();
}

/** A ball of two by two quads per side of a cube; one on the mirror plane is built to its left half. */
function addBall(
  cage: HalfCage,
  part: number,
  ball: { centre: Vec3; radii: Vec3; weights: JointWeights },
): void {
  const { centre, radii, weights } = ball;
  const isCentral = centre[0] === 0;
  const points = new Map<string, number>();
  const at = (p: Vec3): number => {
    const known = points.get(p.join());
    if (known !== undefined) return known;
    const l = Math.hypot(...p);
    const point = cage.point(
      [0, 1, 2].map((k) => centre[k]! + (radii[k]! * p[k]!) / l) as unknown as Vec3,
      weights,
    );
    points.set(p.join(), point);
    return point;
  };
  for (let axis = 0; axis < 3; axis++)
    for (const sign of [1, -1])
      for (let i = -1; i < 1; i++)
        for (let j = -1; j < 1; j++) {
          const cell: Vec3[] = [
            [i, j],
            [i + 1, j],
            [i + 1, j + 1],
            [i, j + 1],
          ].map(([a, b]) => {
            const p = [0, 0, 0];
            p[axis] = sign;
            p[(axis + 1) % 3] = a!;
            p[(axis + 2) % 3] = b!;
            return p as unknown as Vec3;
          });
          if (sign < 0) cell.reverse();
          if (isCentral && cell.some((p) => p[0] < 0)) continue;
          const [a, b, c, d] = cell.map(at) as [number, number, number, number];
          cage.quad(a, b, c, d, part);
        }
}
