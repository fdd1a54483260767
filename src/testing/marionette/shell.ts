import type { Vec3 } from '../../math/index.js';
import type { BodyPart } from './body-parts.js';
import { FINGERS } from './body-parts.js';
import { addFeatures } from './features.js';
import type { Cage } from './half-cage.js';
import { CHANNEL_COUNT } from './half-cage.js';
import type { MarionetteProportions, PoseAngles } from './options.js';
import type { Skeleton } from './pose.js';
import { applyProportions, poseLimb, poseTrunk, weightReader } from './pose.js';
import { sampleSurface } from './sample-surface.js';
import { fitCage, quadSurface } from './subdivide-cage.js';

/** More steps follow the design closer but make the surface ring. */
const FIT_STEPS = 4;

/** One or more shells of quads that mirror themselves, before sliders and pose. */
export interface Shell {
  readonly pointCount: number;
  readonly quads: Int32Array;
  readonly channels: Float64Array;
  readonly parts: readonly BodyPart[];
  readonly faceParts: Int32Array;
  readonly pointPartners: Int32Array;
  readonly facePartners: Int32Array;
}

/** Turns a cage into a smooth surface of `grid` × `grid` quads per cage face. */
export function buildShell(cage: Cage, grid: number, options: { hasFeatures: boolean }): Shell {
  const surface = fitCage(quadSurface(cage.quads, cage.channels, CHANNEL_COUNT), CHANNEL_COUNT, FIT_STEPS);
  const { quads, channels, pointCount } = sampleSurface(surface, CHANNEL_COUNT, grid);
  const faceCount = quads.length / 4;
  const cells = grid * grid;
  const faceParts = new Int32Array(faceCount);
  const facePartners = new Int32Array(faceCount);
  const pointPartners = new Int32Array(pointCount);
  for (let f = 0; f < faceCount; f++) {
    const cageFace = Math.floor(f / cells);
    const j = Math.floor((f % cells) / grid);
    const i = f % grid;
    faceParts[f] = cage.faceParts[cageFace]!;
    const partner = cage.facePartners[cageFace]! * cells + j * grid + (grid - 1 - i);
    facePartners[f] = partner;
    for (let k = 0; k < 4; k++) pointPartners[quads[4 * f + k]!] = quads[4 * partner + [1, 0, 3, 2][k]!]!;
  }
  for (let p = 0; p < pointCount; p++) {
    if (pointPartners[p] === p) channels[p * CHANNEL_COUNT] = 0;
    if (options.hasFeatures && channels[p * CHANNEL_COUNT]! >= 0) addFeatures(channels, p * CHANNEL_COUNT);
  }
  return { pointCount, quads, channels, parts: cage.parts, faceParts, pointPartners, facePartners };
}

/** The left half's points with sliders and pose, both sides from the left one's values, so both agree to the bit. */
export function placeShell(
  shell: Shell,
  pose: PoseAngles,
  proportions: MarionetteProportions,
  skeleton: Skeleton,
): Float64Array {
  const { quads, channels, pointCount, pointPartners } = shell;
  const points = new Float64Array(3 * pointCount);
  const pointFingers = new Int8Array(pointCount).fill(-1);
  for (let c = 0; c < quads.length; c++) {
    const part = shell.parts[shell.faceParts[c >> 2]!]!;
    if (part.name === 'finger')
      pointFingers[quads[c]!] = FINGERS.indexOf(part.digit as (typeof FINGERS)[number]);
    // A mitten curls as its middle finger would.
    else if (part.name === 'hand' && pointFingers[quads[c]!]! < 0) pointFingers[quads[c]!] = 2;
  }
  const isDone = new Uint8Array(pointCount);
  // Faces of the left half come first.
  for (let c = 0; c < quads.length / 2; c++) {
    const left = quads[c]!;
    if (isDone[left]) continue;
    isDone[left] = 1;
    const right = pointPartners[left]!;
    const at = left * CHANNEL_COUNT;
    const weight = weightReader(channels, at);
    const base = applyProportions([channels[at]!, channels[at + 1]!, channels[at + 2]!], weight, proportions);
    const onLeft = poseLimb(base, weight, pose.left ?? {}, skeleton, pointFingers[left]!);
    const [x, y, z] = poseLimb(base, weight, pose.right ?? {}, skeleton, pointFingers[left]!);
    const onRight: Vec3 = [-x, y, z];
    if (left === right) {
      const middle: Vec3 = [
        (onLeft[0] + onRight[0]) / 2,
        (onLeft[1] + onRight[1]) / 2,
        (onLeft[2] + onRight[2]) / 2,
      ];
      points.set(poseTrunk(middle, weight, pose, skeleton), 3 * left);
    } else {
      points.set(poseTrunk(onLeft, weight, pose, skeleton), 3 * left);
      points.set(poseTrunk(onRight, weight, pose, skeleton), 3 * right);
    }
  }
  return points;
}

/** Depth of the shells' front on the middle line, by height: straight between the points of each, the outermost counts. */
export function frontProfile(shells: readonly Shell[]): (y: number) => number {
  const lines = shells.map(({ channels, pointPartners, pointCount }) => {
    const line: [number, number][] = [];
    for (let p = 0; p < pointCount; p++) {
      const y = channels[p * CHANNEL_COUNT + 1]!;
      const z = channels[p * CHANNEL_COUNT + 2]!;
      if (pointPartners[p] === p && z > 0 && y > 0.9 && y < 1.5) line.push([y, z]);
    }
    return line.sort((a, b) => a[0] - b[0]);
  });
  return (y) => {
    let front = 0;
    for (const line of lines)
      for (let i = 0; i + 1 < line.length; i++) {
        const [low, from] = line[i]!;
        const [high, to] = line[i + 1]!;
        if (low <= y && y < high) front = Math.max(front, from + ((y - low) / (high - low)) * (to - from));
      }
    return front;
  };
}
