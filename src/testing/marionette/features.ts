import type { Vec3 } from '../../math/index.js';

/** A soft bump: the surface near `at` moves by `move`, falling off as a Gaussian of the given widths. */
interface Bump {
  readonly at: Vec3;
  readonly width: Vec3;
  readonly move: Vec3;
}

// For the left half and the mirror plane; a bump beside the plane has its mirror image on the right.
const BUMPS: readonly Bump[] = [
  // Nose: bridge, then tip.
  { at: [0, 1.655, 0.105], width: [0.009, 0.016, 0.05], move: [0, 0, 0.012] },
  { at: [0, 1.637, 0.107], width: [0.011, 0.009, 0.05], move: [0, 0, 0.018] },
  // Eye sockets and brow.
  { at: [0.031, 1.676, 0.1], width: [0.016, 0.011, 0.05], move: [0, 0, -0.005] },
  { at: [0.028, 1.7, 0.1], width: [0.022, 0.008, 0.05], move: [0, 0, 0.003] },
  // Cheekbones.
  { at: [0.048, 1.648, 0.08], width: [0.016, 0.016, 0.04], move: [0.003, 0, 0.005] },
  // Lips and the hollow under them, chin.
  { at: [0, 1.6, 0.107], width: [0.019, 0.0085, 0.05], move: [0, 0, 0.005] },
  { at: [0, 1.585, 0.106], width: [0.016, 0.006, 0.05], move: [0, 0, -0.004] },
  { at: [0, 1.567, 0.1], width: [0.018, 0.012, 0.05], move: [0, -0.002, 0.01] },
  // Ears.
  { at: [0.075, 1.663, -0.006], width: [0.03, 0.02, 0.009], move: [0.013, 0, -0.006] },
  // Chest, navel, spine, shoulder blades, buttocks.
  { at: [0.08, 1.318, 0.11], width: [0.05, 0.035, 0.05], move: [0, -0.002, 0.012] },
  { at: [0, 1.3, 0.11], width: [0.016, 0.07, 0.05], move: [0, 0, -0.006] },
  { at: [0, 1.22, -0.11], width: [0.018, 0.17, 0.05], move: [0, 0, 0.008] },
  { at: [0.085, 1.4, -0.115], width: [0.04, 0.05, 0.05], move: [0, 0, -0.006] },
  { at: [0.075, 0.9, -0.125], width: [0.05, 0.045, 0.05], move: [0, 0, -0.014] },
  { at: [0, 0.9, -0.12], width: [0.015, 0.05, 0.06], move: [0, 0, 0.012] },
  // Collar bones.
  { at: [0.07, 1.462, 0.06], width: [0.05, 0.008, 0.04], move: [0, 0.001, 0.004] },
  // Kneecap, shin, ankle bones, heel.
  { at: [0.112, 0.515, 0.06], width: [0.022, 0.024, 0.03], move: [0, 0, 0.006] },
  { at: [0.168, 0.09, -0.025], width: [0.012, 0.012, 0.014], move: [0.005, 0, 0] },
  { at: [0.098, 0.097, -0.02], width: [0.012, 0.012, 0.014], move: [-0.005, 0, 0] },
];

/** Adds face and muscles to a point of the left half, in place; `position` holds three numbers from `at`. */
export function addFeatures(position: Float64Array, at: number): void {
  const x = position[at]!;
  const y = position[at + 1]!;
  const z = position[at + 2]!;
  for (const { at: centre, width, move } of BUMPS) {
    const u = (x - centre[0]) / width[0];
    const v = (y - centre[1]) / width[1];
    const w = (z - centre[2]) / width[2];
    const distance = u * u + v * v + w * w;
    if (distance > 18) continue;
    const weight = Math.exp(-distance / 2);
    // A point on the mirror plane stays on it.
    if (x !== 0) position[at] = Math.max(position[at]! + weight * move[0], 1e-6);
    position[at + 1]! += weight * move[1];
    position[at + 2]! += weight * move[2];
  }
}
