import type { Vec3 } from '../math/index.js';
import type { EdgeId, VertexId } from '../mesh/index.js';

export type PartName =
  | 'head'
  | 'neck'
  | 'torso'
  | 'arm'
  | 'upper-arm'
  | 'forearm'
  | 'hand'
  | 'finger'
  | 'leg'
  | 'thigh'
  | 'shin'
  | 'foot'
  | 'toe'
  | 'tail'
  | 'wing'
  | 'ear'
  | 'horn'
  | 'snout'
  | 'eye'
  | 'socket'
  | 'mouth'
  | 'nostril'
  | 'pocket'
  | 'branch'
  | 'panel'
  | 'core';

export type PartSide = 'left' | 'right' | 'centre';

export const FINGER_NAMES = ['thumb', 'index', 'middle', 'ring', 'little'] as const;
export const TOE_NAMES = ['big', 'second', 'third', 'fourth', 'little'] as const;
export type Digit = (typeof FINGER_NAMES)[number] | (typeof TOE_NAMES)[number];

/** A region of a character's body. */
export interface Part {
  readonly name: PartName;
  /** The character's own left and right. */
  readonly side: PartSide;
  /** Which finger or toe, where a hand or foot has five (or four and a thumb). */
  readonly digit?: Digit;
  /** Place among the digits of its hand or foot, 0 for the thumb or big toe. */
  readonly order?: number;
  /** 0..1: how sure the name is. */
  readonly confidence: number;
  /** Index of the part this one grows from, -1 for a shell's core. */
  readonly parent: number;
  /** Index of the part on the other side, -1 for none. */
  readonly partner: number;
  /** Shell of the mesh. */
  readonly shell: number;
  /** Surface area, square model units. */
  readonly area: number;
  /** The vertex farthest from the base along the surface; for a core -1. */
  readonly tip: VertexId | -1;
  /** Edges between this part and its parent; of a panel, its whole outline. */
  readonly base: readonly EdgeId[];
  /** Centre line from the base to the tip with the girth along it; absent on cores and very small parts. */
  readonly axis?: PartAxis;
  /** For limbs and digits: unit vector from the limb's middle towards the body's inner side. */
  readonly inner?: Vec3;
}

export interface PartAxis {
  /** xyz of the centres of the level lines, base first. */
  readonly points: Float64Array;
  /** Length of the level line at each point, model units. */
  readonly girths: Float64Array;
}

/** The parts of a surface. */
export interface PartTree {
  /** Index into `parts` of each face. */
  readonly faceParts: Int32Array;
  readonly parts: readonly Part[];
}
