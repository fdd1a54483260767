/** Which side of the body, seen from the marionette itself: its left is +x. */
export type BodySide = 'left' | 'right' | 'centre';

/** A true part of the marionette. */
export interface BodyPart {
  readonly name:
    | 'head'
    | 'torso'
    | 'arm'
    | 'hand'
    | 'finger'
    | 'leg'
    | 'foot'
    | 'toe'
    | 'tail'
    | 'ear'
    | 'horn'
    | 'wing'
    | 'eye'
    | 'button'
    | 'garment';
  readonly side: BodySide;
  /** Which finger or toe. */
  readonly digit?: Digit;
}

export const FINGERS = ['thumb', 'index', 'middle', 'ring', 'little'] as const;
export const TOES = ['big', 'second', 'third', 'fourth', 'little'] as const;
export type Digit = (typeof FINGERS)[number] | (typeof TOES)[number];

/** Joints whose influence every point of the skin carries, root first. */
export const JOINTS = [
  'spine',
  'neck',
  'shoulder',
  'elbow',
  'wrist',
  'knuckle',
  'phalanx',
  'hip',
  'knee',
  'ankle',
] as const;
export type Joint = (typeof JOINTS)[number];
/** How far each joint moves a point, 0..1; absent is 0. */
export type JointWeights = Readonly<Partial<Record<Joint, number>>>;
