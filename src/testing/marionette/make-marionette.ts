import type { Vec3 } from '../../math/index.js';
import type { MeshInput } from '../../mesh/index.js';
import { seededRandom } from '../seeded-random.js';
import type { BodyPart } from './body-parts.js';
import { FINGERS } from './body-parts.js';
import { fitResolution } from './build-cage.js';
import { addFeatures } from './features.js';
import type { Cage } from './half-cage.js';
import { CHANNEL_COUNT } from './half-cage.js';
import type { MarionetteOptions } from './options.js';
import { MARIONETTE_DEFAULTS } from './options.js';
import { applyProportions, buildSkeleton, poseAngles, poseLimb, poseTrunk, weightReader } from './pose.js';
import type { SampledSurface } from './sample-surface.js';
import { sampleSurface } from './sample-surface.js';
import { fitCage, quadSurface } from './subdivide-cage.js';

/** A generated character with everything that is known about it. */
export interface Marionette {
  readonly mesh: MeshInput;
  /** Index into `parts` of every face. */
  readonly faceParts: Int32Array;
  readonly parts: readonly BodyPart[];
  /** The point and the face on the other side of the body; a point on the middle line is its own partner. */
  readonly pointPartners: Int32Array;
  readonly facePartners: Int32Array;
}

/** Height of the body as modelled. */
const MODEL_HEIGHT = 1.8;
/** More steps follow the design closer but make the surface ring. */
const FIT_STEPS = 4;

/**
 * Makes a humanoid character of clean quads: +y up, facing +z, its left at +x. The skin is one closed
 * shell, left and right mirror each other exactly (in a symmetric pose, without jitter), and the same
 * options give the same bytes.
 *
 * @example
 * const { mesh, faceParts, parts } = makeMarionette({ faces: 6000, pose: 'sitting' });
 */
export function makeMarionette(options: MarionetteOptions = {}): Marionette {
  const o = { ...MARIONETTE_DEFAULTS, ...options };
  const { cage, grid } = fitResolution(o.faces, { ...o, hasSockets: o.hasEyes });
  const surface = fitCage(quadSurface(cage.quads, cage.channels, CHANNEL_COUNT), CHANNEL_COUNT, FIT_STEPS);
  const sampled = sampleSurface(surface, CHANNEL_COUNT, grid);
  const { pointPartners, facePartners } = mirrorPartners(cage, sampled);
  const faceParts = new Int32Array(sampled.quads.length / 4);
  for (let f = 0; f < faceParts.length; f++) faceParts[f] = cage.faceParts[Math.floor(f / (grid * grid))]!;
  const points = placePoints(cage, sampled, pointPartners, faceParts, o);
  const random = seededRandom(o.seed);
  if (o.jitter > 0) for (let i = 0; i < points.length; i++) points[i]! += random.between(-o.jitter, o.jitter) * o.height;
  return {
    mesh: { points, faceVertexCounts: new Int32Array(faceParts.length).fill(4), faceVertexIndices: sampled.quads },
    faceParts,
    parts: cage.parts,
    pointPartners,
    facePartners,
  };
}

function mirrorPartners(cage: Cage, { quads, pointCount, grid }: SampledSurface): { pointPartners: Int32Array; facePartners: Int32Array } {
  const pointPartners = new Int32Array(pointCount);
  const facePartners = new Int32Array(quads.length / 4);
  for (let f = 0; f < facePartners.length; f++) {
    const cageFace = Math.floor(f / (grid * grid));
    const j = Math.floor((f % (grid * grid)) / grid);
    const i = f % grid;
    const partner = cage.facePartners[cageFace]! * grid * grid + j * grid + (grid - 1 - i);
    facePartners[f] = partner;
    for (let k = 0; k < 4; k++) pointPartners[quads[4 * f + k]!] = quads[4 * partner + [1, 0, 3, 2][k]!]!;
  }
  return { pointPartners, facePartners };
}

/** Features, sliders and pose; the right half is worked out from the left one's points, so both agree to the bit. */
function placePoints(
  cage: Cage,
  { quads, channels, pointCount }: SampledSurface,
  pointPartners: Int32Array,
  faceParts: Int32Array,
  options: Required<MarionetteOptions>,
): Float64Array {
  const pose = poseAngles(options.pose);
  const skeleton = buildSkeleton(options.proportions);
  const scale = options.height / MODEL_HEIGHT;
  const points = new Float64Array(3 * pointCount);
  const pointFingers = new Int8Array(pointCount).fill(-1);
  for (let c = 0; c < quads.length; c++) {
    const part = cage.parts[faceParts[c >> 2]!]!;
    if (part.name === 'finger') pointFingers[quads[c]!] = FINGERS.indexOf(part.digit as (typeof FINGERS)[number]);
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
    const isCentral = right === left;
    if (isCentral) channels[at] = 0;
    addFeatures(channels, at);
    const base = applyProportions([channels[at]!, channels[at + 1]!, channels[at + 2]!], weight, options.proportions);
    const finger = pointFingers[left]!;
    const onLeft = poseLimb(base, weight, pose.left ?? {}, skeleton, finger);
    const [x, y, z] = poseLimb(base, weight, pose.right ?? {}, skeleton, finger);
    const onRight: Vec3 = [-x, y, z];
    const write = (point: number, p: Vec3) => {
      const [px, py, pz] = poseTrunk(p, weight, pose, skeleton);
      points[3 * point] = px * scale;
      points[3 * point + 1] = (py - skeleton.floor) * scale;
      points[3 * point + 2] = pz * scale;
    };
    if (isCentral) {
      write(left, [0, 1, 2].map((k) => (onLeft[k]! + onRight[k]!) / 2) as unknown as Vec3);
    } else {
      write(left, onLeft);
      write(right, onRight);
    }
  }
  return points;
}
