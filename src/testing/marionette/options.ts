/** Factors on the default adult of seven and a half heads; 1 keeps it. */
export interface MarionetteProportions {
  /** @defaultValue 1, range 0.7..2 */
  readonly headSize?: number;
  /** Length and thickness of the neck. @defaultValue 1, range 0.7..1.5 */
  readonly neckSize?: number;
  /** @defaultValue 1, range 0.6..1.4 */
  readonly legLength?: number;
  /** @defaultValue 1, range 0.6..1.5 */
  readonly armLength?: number;
  /** @defaultValue 1, range 0.8..1.3 */
  readonly shoulderWidth?: number;
  /** @defaultValue 1, range 0.8..1.3 */
  readonly hipWidth?: number;
  /** Thickness of trunk and limbs. @defaultValue 1, range 0.7..1.6 */
  readonly girth?: number;
  /** @defaultValue 1, range 0.7..1.8 */
  readonly handSize?: number;
  /** @defaultValue 1, range 0.7..1.8 */
  readonly footSize?: number;
}

/** Angles of one side in degrees; 0 everywhere is the pose as modelled: arms 45 degrees below the horizontal. */
export interface LimbAngles {
  /** Raises the arm sideways: 45 is a T, -38 beside the body, 110 above the head. */
  readonly armLift?: number;
  /** Swings the arm forward. */
  readonly armSwing?: number;
  readonly elbowBend?: number;
  readonly wristBend?: number;
  /** Curls the fingers towards the palm. */
  readonly fingerCurl?: number;
  /** Swings the thigh forward. */
  readonly legSwing?: number;
  /** Spreads the leg sideways. */
  readonly legSpread?: number;
  readonly kneeBend?: number;
  /** Points the foot down. */
  readonly footPoint?: number;
}

/** A pose in degrees. */
export interface PoseAngles {
  readonly left?: LimbAngles;
  readonly right?: LimbAngles;
  /** Leans the upper body forward. */
  readonly lean?: number;
  /** Bends the upper body towards its left. */
  readonly bend?: number;
  /** Turns the upper body towards its left. */
  readonly twist?: number;
  readonly nod?: number;
  /** Turns the head towards its left. */
  readonly turn?: number;
}

export const POSE_NAMES = ['a', 't', 'armsDown', 'armsRaised', 'sitting', 'asymmetric'] as const;
export type PoseName = (typeof POSE_NAMES)[number];

export interface MarionetteOptions {
  /**
   * Wanted number of faces of the skin (as quads); the result lies near it. Range 500..250,000.
   * @defaultValue 3000
   */
  readonly faces?: number;
  /** @defaultValue 'a' */
  readonly pose?: PoseName | PoseAngles;
  /** What differs from the default adult. @defaultValue nothing */
  readonly proportions?: MarionetteProportions;
  /** Five fingers, or a mitten with a thumb. @defaultValue true */
  readonly hasFingers?: boolean;
  /** Toes, or a foot as in a sock. @defaultValue true */
  readonly hasToes?: boolean;
  /** A tunic over the trunk: a shell of its own with open neck, sleeves and hem. @defaultValue false */
  readonly hasTunic?: boolean;
  /** A pocket behind the lips. @defaultValue false */
  readonly hasMouthBag?: boolean;
  /** Eyeballs as shells of their own, in sockets. @defaultValue false */
  readonly hasEyes?: boolean;
  /** Pointed ears, as on a creature. @defaultValue false */
  readonly hasEars?: boolean;
  /** @defaultValue false */
  readonly hasHorns?: boolean;
  /** @defaultValue false */
  readonly hasTail?: boolean;
  /** Wings between the shoulder blades and the arms. @defaultValue false */
  readonly hasWings?: boolean;
  /** Buttons down the front as shells of their own, this many. @defaultValue 0, range 0..8 */
  readonly buttons?: number;
  /** Splits every quad along one diagonal, mirrored. @defaultValue false */
  readonly isTriangulated?: boolean;
  /** Random shift of every point as a share of the height; it breaks the mirror. @defaultValue 0, range 0..0.01 */
  readonly jitter?: number;
  /** Height in model units. @defaultValue 1.8, greater than 0 */
  readonly height?: number;
  /** Seed of the jitter. @defaultValue 1 */
  readonly seed?: number;
}

export const MARIONETTE_DEFAULTS = Object.freeze({
  faces: 3000,
  pose: 'a',
  proportions: Object.freeze({}),
  hasFingers: true,
  hasToes: true,
  hasTunic: false,
  hasMouthBag: false,
  hasEyes: false,
  hasEars: false,
  hasHorns: false,
  hasTail: false,
  hasWings: false,
  buttons: 0,
  isTriangulated: false,
  jitter: 0,
  height: 1.8,
  seed: 1,
} satisfies Required<MarionetteOptions>);
