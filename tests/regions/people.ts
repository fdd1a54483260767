import type { Vec3 } from '../../src/math/index.js';
import { add, dot, subtract } from '../../src/math/index.js';
import type { Marionette, MarionetteOptions, PoseAngles, PoseName } from '../../src/testing/index.js';
import { makeMarionette } from '../../src/testing/index.js';
import { ARM_DIRECTION, FOREARM_DIRECTION } from '../../src/testing/marionette/arm.js';
import { buildSkeleton } from '../../src/testing/marionette/pose.js';

const both = (angles: PoseAngles['left'] & object): PoseAngles => ({ left: angles, right: angles });

/** What people do, beyond the generator's own poses; angles by eye. */
export const DEEDS: Readonly<Record<string, PoseName | PoseAngles>> = {
  standing: 'armsDown',
  sitting: 'sitting',
  turning: 'asymmetric',
  cheering: 'armsRaised',
  walking: {
    left: { armLift: -30, armSwing: -28, elbowBend: 25, legSwing: 30, kneeBend: 12, fingerCurl: 20 },
    right: {
      armLift: -30,
      armSwing: 32,
      elbowBend: 30,
      legSwing: -22,
      kneeBend: 28,
      footPoint: 20,
      fingerCurl: 20,
    },
    lean: 5,
    twist: 8,
  },
  running: {
    left: {
      armLift: -28,
      armSwing: 45,
      elbowBend: 85,
      legSwing: -30,
      kneeBend: 80,
      footPoint: 25,
      fingerCurl: 40,
    },
    right: { armLift: -28, armSwing: -45, elbowBend: 80, legSwing: 60, kneeBend: 60, fingerCurl: 40 },
    lean: 14,
    twist: -14,
  },
  squatting: {
    ...both({ armSwing: 60, elbowBend: 20, legSwing: 100, legSpread: 10, kneeBend: 115, footPoint: -12 }),
    lean: 20,
  },
  pointing: {
    left: { armLift: 45, armSwing: 5 },
    right: { armLift: -34, elbowBend: 60, fingerCurl: 30 },
    turn: 40,
  },
  kneeling: {
    left: { armLift: -20, elbowBend: 40, legSwing: 80, kneeBend: 90 },
    right: { armLift: -30, legSwing: -5, kneeBend: 95, footPoint: 60 },
    lean: 6,
  },
  'hand on hip': { left: { armLift: -5, elbowBend: 95, armSwing: -15 }, right: { armLift: -36 }, bend: 6 },
  kicking: {
    left: { armLift: 30, armSwing: -20, elbowBend: 15 },
    right: { armLift: 20, armSwing: 40, elbowBend: 60, legSwing: 85, kneeBend: 10, footPoint: 30 },
    lean: -10,
  },
};

/** How finely a person cuts a body: from limbs whole to every joint and the fingers. */
export const HABITS = [
  'limbs',
  'limbs and ends',
  'joints',
  'joints and waist',
  'joints and fingers',
] as const;
type Habit = (typeof HABITS)[number];

/** A marionette in a pose, with the part each habit puts every face in. */
export function cutByPeople(options: MarionetteOptions): {
  marionette: Marionette;
  labels: Readonly<Record<Habit, readonly string[]>>;
} {
  const marionette = makeMarionette(options);
  // The same faces in the pose as modelled, where planes through elbow, knee and waist can be laid.
  const rest = makeMarionette({ ...options, pose: 'a', jitter: 0 });
  const { elbow, knee } = buildSkeleton(options.proportions ?? {});
  const forearm = add(ARM_DIRECTION, FOREARM_DIRECTION);
  const labels: Record<Habit, string[]> = {
    limbs: [],
    'limbs and ends': [],
    joints: [],
    'joints and waist': [],
    'joints and fingers': [],
  };
  const { faceVertexCounts, faceVertexIndices, points } = rest.mesh;
  for (let f = 0, c = 0; f < faceVertexCounts.length; f++) {
    const middle: [number, number, number] = [0, 0, 0];
    const count = faceVertexCounts[f]!;
    for (const end = c + count; c < end; c++)
      for (let k = 0; k < 3; k++) middle[k]! += points[3 * faceVertexIndices[c]! + k]! / count;
    const { name, side, digit } = rest.parts[rest.faceParts[f]!]!;
    const place: Vec3 = [Math.abs(middle[0]), middle[1], middle[2]];
    const end = name === 'finger' ? 'hand' : name === 'toe' ? 'foot' : name;
    const limb = end === 'hand' ? 'arm' : end === 'foot' ? 'leg' : end;
    const segment =
      name === 'arm'
        ? dot(subtract(place, elbow), forearm) > 0
          ? 'forearm'
          : 'upper arm'
        : name === 'leg'
          ? place[1] < knee[1]
            ? 'shin'
            : 'thigh'
          : end;
    labels.limbs.push(`${side} ${limb}`);
    labels['limbs and ends'].push(`${side} ${end}`);
    labels.joints.push(`${side} ${segment}`);
    labels['joints and waist'].push(name === 'torso' && place[1] < WAIST ? 'pelvis' : `${side} ${segment}`);
    labels['joints and fingers'].push(name === 'finger' ? `${side} ${digit}` : `${side} ${segment}`);
  }
  return { marionette, labels };
}

/** Height of the waist of the pose as modelled. */
const WAIST = 1.1;
