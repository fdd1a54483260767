export type { PartOptions } from './find-parts.js';
export { findParts, PART_DEFAULTS } from './find-parts.js';
export type { Digit, Part, PartAxis, PartName, PartSide, PartTree } from './part.js';
export { FINGER_NAMES, TOE_NAMES } from './part.js';
