export type {
  BodyPart,
  BodySide,
  Digit,
  LimbAngles,
  Marionette,
  MarionetteOptions,
  MarionetteProportions,
  PoseAngles,
  PoseName,
} from './marionette/index.js';
export { MARIONETTE_DEFAULTS, makeMarionette, POSE_NAMES } from './marionette/index.js';
export type { SeededRandom } from './seeded-random.js';
export { seededRandom } from './seeded-random.js';
