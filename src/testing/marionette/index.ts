export type { BodyPart, BodySide, Digit } from './body-parts.js';
export type { Marionette } from './make-marionette.js';
export { makeMarionette } from './make-marionette.js';
export type {
  LimbAngles,
  MarionetteOptions,
  MarionetteProportions,
  PoseAngles,
  PoseName,
} from './options.js';
export { MARIONETTE_DEFAULTS, POSE_NAMES } from './options.js';
export type { VariantOptions } from './variants.js';
export { marionetteVariants } from './variants.js';
