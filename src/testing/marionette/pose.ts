import type { Vec3 } from '../../math/index.js';
import { cross } from '../../math/index.js';
import { ARM_DIRECTION, ELBOW, FOREARM_DIRECTION, HAND_FRONT, HAND_UP, SHOULDER, WRIST } from './arm.js';
import type { Joint, JointWeights } from './body-parts.js';
import { JOINTS } from './body-parts.js';
import { ANKLE } from './foot.js';
import { FINGER_HINGES } from './hand.js';
import { HIP, KNEE } from './leg.js';
import type { LimbAngles, MarionetteProportions, PoseAngles, PoseName } from './options.js';

const SPINE: Vec3 = [0, 1.08, -0.02];
const NECK: Vec3 = [0, 1.55, -0.025];

/** Where the left half's joints lie. */
export interface Skeleton {
  readonly spine: Vec3;
  readonly neck: Vec3;
  readonly shoulder: Vec3;
  readonly elbow: Vec3;
  readonly wrist: Vec3;
  readonly hip: Vec3;
  readonly knee: Vec3;
  readonly ankle: Vec3;
  readonly fingers: readonly { readonly knuckle: Vec3; readonly phalanx: Vec3; readonly axis: Vec3 }[];
  /** Height of the sole. */
  readonly floor: number;
}

/** The joints after the sliders. */
export function buildSkeleton(proportions: MarionetteProportions): Skeleton {
  const at = (p: Vec3, weights: JointWeights) =>
    applyProportions(p, (joint) => weights[joint] ?? 0, proportions);
  const inHand: JointWeights = { spine: 1, shoulder: 1, elbow: 1, wrist: 1 };
  return {
    spine: SPINE,
    neck: at(NECK, { spine: 1, neck: 0.5 }),
    shoulder: at(SHOULDER, { spine: 1, shoulder: 1 }),
    elbow: at(ELBOW, { spine: 1, shoulder: 1, elbow: 0.5 }),
    wrist: at(WRIST, inHand),
    hip: at(HIP, { hip: 1 }),
    knee: at(KNEE, { hip: 1, knee: 0.5 }),
    ankle: at(ANKLE, { hip: 1, knee: 1, ankle: 1 }),
    fingers: FINGER_HINGES.map(({ knuckle, phalanx, axis }) => ({
      knuckle: at(knuckle, inHand),
      phalanx: at(phalanx, inHand),
      axis,
    })),
    floor: at([ANKLE[0], 0, ANKLE[2]], { hip: 1, knee: 1, ankle: 1 })[1],
  };
}

const POSES: Readonly<Record<PoseName, PoseAngles>> = {
  a: {},
  t: both({ armLift: 45 }),
  armsDown: both({ armLift: -36, elbowBend: 8 }),
  armsRaised: both({ armLift: 108, elbowBend: 12 }),
  sitting: {
    ...both({ armLift: -32, armSwing: 18, elbowBend: 55, legSwing: 84, legSpread: 4, kneeBend: 82 }),
    lean: 4,
  },
  asymmetric: {
    left: {
      armLift: 62,
      armSwing: 12,
      elbowBend: 70,
      wristBend: 10,
      fingerCurl: 18,
      legSwing: 14,
      legSpread: 7,
      kneeBend: 8,
    },
    right: {
      armLift: -22,
      armSwing: 30,
      elbowBend: 40,
      fingerCurl: 35,
      legSwing: -14,
      legSpread: 2,
      kneeBend: 24,
      footPoint: 14,
    },
    lean: 3,
    bend: -6,
    twist: 12,
    nod: 4,
    turn: -24,
  },
};

function both(angles: LimbAngles): PoseAngles {
  return { left: angles, right: angles };
}

export const poseAngles = (pose: PoseName | PoseAngles): PoseAngles =>
  typeof pose === 'string' ? POSES[pose] : pose;

/** Weights of one point, by joint. */
export type JointWeight = (joint: Joint) => number;

/** Reads the weights of a point whose channels start at `at`. */
export const weightReader =
  (channels: Float64Array, at: number): JointWeight =>
  (joint) =>
    Math.min(1, Math.max(0, channels[at + 3 + JOINTS.indexOf(joint)]!));

const radians = (degrees = 0) => (degrees * Math.PI) / 180;

/** Turns `p` about the unit `axis` through `centre` (Rodrigues). */
function rotate(p: Vec3, centre: Vec3, axis: Vec3, angle: number): Vec3 {
  if (angle === 0) return p;
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const v: Vec3 = [p[0] - centre[0], p[1] - centre[1], p[2] - centre[2]];
  const along = (v[0] * axis[0] + v[1] * axis[1] + v[2] * axis[2]) * (1 - c);
  const side = cross(axis, v);
  return [
    centre[0] + c * v[0] + s * side[0] + along * axis[0],
    centre[1] + c * v[1] + s * side[1] + along * axis[1],
    centre[2] + c * v[2] + s * side[2] + along * axis[2],
  ];
}

const X: Vec3 = [1, 0, 0];
const Y: Vec3 = [0, 1, 0];
const Z: Vec3 = [0, 0, 1];
const ELBOW_AXIS = cross(ARM_DIRECTION, HAND_FRONT);
const WRIST_AXIS = cross(HAND_UP, FOREARM_DIRECTION);

/**
 * Moves a point of the left half with its limb, outermost joint first. Each joint turns the point by its
 * weight's share of the angle, which keeps the girth at a bend where blending positions would pinch it.
 */
export function poseLimb(
  p: Vec3,
  weight: JointWeight,
  angles: LimbAngles,
  skeleton: Skeleton,
  finger: number,
): Vec3 {
  let q = p;
  const turn = (joint: Joint, centre: Vec3, axis: Vec3, degrees: number | undefined) => {
    if (degrees) q = rotate(q, centre, axis, radians(degrees) * weight(joint));
  };
  if (finger >= 0) {
    const { knuckle, phalanx, axis } = skeleton.fingers[finger]!;
    turn('phalanx', phalanx, axis, angles.fingerCurl);
    turn('knuckle', knuckle, axis, angles.fingerCurl);
  }
  turn('wrist', skeleton.wrist, WRIST_AXIS, angles.wristBend);
  turn('elbow', skeleton.elbow, ELBOW_AXIS, angles.elbowBend);
  turn('shoulder', skeleton.shoulder, Z, angles.armLift);
  turn('shoulder', skeleton.shoulder, X, -(angles.armSwing ?? 0));
  turn('ankle', skeleton.ankle, X, angles.footPoint);
  turn('knee', skeleton.knee, X, angles.kneeBend);
  turn('hip', skeleton.hip, Z, angles.legSpread);
  turn('hip', skeleton.hip, X, -(angles.legSwing ?? 0));
  return q;
}

/** Moves a point of either half with spine and neck. */
export function poseTrunk(p: Vec3, weight: JointWeight, pose: PoseAngles, joints: Skeleton): Vec3 {
  const { lean = 0, bend = 0, twist = 0, nod = 0, turn = 0 } = pose;
  const spine = weight('spine');
  const neck = weight('neck');
  let q = rotate(p, joints.neck, X, radians(nod) * neck);
  q = rotate(q, joints.neck, Y, radians(turn) * neck);
  q = rotate(q, joints.spine, Y, radians(twist) * spine);
  q = rotate(q, joints.spine, Z, -radians(bend) * spine);
  return rotate(q, joints.spine, X, radians(lean) * spine);
}

/** Applies the sliders to a point of the left half. */
export function applyProportions(p: Vec3, weight: JointWeight, proportions: MarionetteProportions): Vec3 {
  const {
    headSize = 1,
    neckSize = 1,
    legLength = 1,
    armLength = 1,
    shoulderWidth = 1,
    hipWidth = 1,
    girth = 1,
    handSize = 1,
    footSize = 1,
  } = proportions;
  let [x, y, z] = p;
  const grow = (joint: Joint, centre: Vec3, factor: number) => {
    const k = 1 + (factor - 1) * weight(joint);
    x = centre[0] + k * (x - centre[0]);
    y = centre[1] + k * (y - centre[1]);
    z = centre[2] + k * (z - centre[2]);
  };
  grow('neck', NECK, headSize);
  const shoulder = weight('shoulder');
  const hip = weight('hip');
  grow('wrist', WRIST, handSize);
  grow('ankle', ANKLE, footSize);
  // Girth acts away from the bones; the ends of the limbs keep their own size.
  const slim = (from: Vec3, along: Vec3, share: number) => {
    const k = 1 + (girth - 1) * share;
    const d: Vec3 = [x - from[0], y - from[1], z - from[2]];
    const t = d[0] * along[0] + d[1] * along[1] + d[2] * along[2];
    x = from[0] + t * along[0] + k * (d[0] - t * along[0]);
    y = from[1] + t * along[1] + k * (d[1] - t * along[1]);
    z = from[2] + t * along[2] + k * (d[2] - t * along[2]);
  };
  if (girth !== 1) {
    slim(SHOULDER, ARM_DIRECTION, shoulder * (1 - weight('elbow')));
    slim(ELBOW, FOREARM_DIRECTION, weight('elbow') * (1 - weight('wrist')));
    if (hip > 0) slim([KNEE[0], KNEE[1], KNEE[2]], LEG_DIRECTION, hip * (1 - weight('ankle')));
    const trunk = (1 - shoulder) * (1 - hip) * (1 - weight('neck'));
    const k = 1 + (girth - 1) * trunk;
    x *= k;
    z = -0.01 + k * (z + 0.01);
  }
  // Lengths.
  const reach =
    (x - SHOULDER[0]) * ARM_DIRECTION[0] +
    (y - SHOULDER[1]) * ARM_DIRECTION[1] +
    (z - SHOULDER[2]) * ARM_DIRECTION[2];
  if (reach > 0 && shoulder > 0) {
    const handReach = 0.545;
    const stretch = (armLength - 1) * shoulder * Math.min(reach, handReach);
    x += stretch * ARM_DIRECTION[0];
    y += stretch * ARM_DIRECTION[1];
    z += stretch * ARM_DIRECTION[2];
  }
  if (hip > 0 && y < HIP[1]) y -= (legLength - 1) * hip * Math.min(HIP[1] - y, HIP[1] - ANKLE[1]);
  const neckShare = weight('neck');
  y += (neckSize - 1) * 0.06 * neckShare;
  // Widths.
  const top = smooth((y - 1.1) / 0.25) * weight('spine') * (1 - neckShare);
  const widen = shoulder > 0 ? Math.max(shoulder, top) : top;
  x += (shoulderWidth - 1) * Math.min(x, SHOULDER[0]) * widen;
  x += (hipWidth - 1) * Math.min(x, HIP[0] * 1.9) * (1 - smooth((y - 0.95) / 0.2)) * (1 - weight('spine'));
  return [x, y, z];
}

const LEG_DIRECTION: Vec3 = (() => {
  const d: Vec3 = [ANKLE[0] - HIP[0], ANKLE[1] - HIP[1], 0];
  const l = Math.hypot(...d);
  return [d[0] / l, d[1] / l, 0];
})();

function smooth(t: number): number {
  const s = Math.min(1, Math.max(0, t));
  return s * s * (3 - 2 * s);
}
