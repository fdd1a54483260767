import type { Vec3 } from '../../src/math/index.js';

const Y_UP = { up: [0, 1, 0] as Vec3, front: [0, 0, 1] as Vec3 };
const Z_UP = { up: [0, 0, 1] as Vec3, front: [0, -1, 0] as Vec3 };

/** How the models of the optional folder stand; those not named stand with +y up and face +z. */
export const AXES: Readonly<Record<string, { readonly up: Vec3; readonly front: Vec3 }>> = {
  'human-quad-a': Y_UP,
  'human-quad-b': Y_UP,
  'human-low-a': Y_UP,
  'human-low-b': Y_UP,
  'lowtri-a': { up: [0, 1, 0], front: [1, 0, 0] },
  'blocky-a': Y_UP,
  'cow-a': Y_UP,
  'outfit-a': Z_UP,
  'arms-a': Z_UP,
};

/** Those whose UVs an artist laid out. */
export const FINISHED = [
  'human-quad-a',
  'human-quad-b',
  'human-low-a',
  'human-low-b',
  'lowtri-a',
  'blocky-a',
  'cow-a',
] as const;
