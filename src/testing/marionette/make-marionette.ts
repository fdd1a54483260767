import { InvalidOptionError } from '../../errors.js';
import type { MeshInput } from '../../mesh/index.js';
import { seededRandom } from '../seeded-random.js';
import type { BodyPart } from './body-parts.js';
import { fitResolution } from './build-cage.js';
import { buildButtons, buildEyes, buildTunic } from './extra-shells.js';
import type { MarionetteOptions } from './options.js';
import { MARIONETTE_DEFAULTS } from './options.js';
import { buildSkeleton, poseAngles } from './pose.js';
import type { Shell } from './shell.js';
import { buildShell, frontProfile, placeShell } from './shell.js';
import { triangulatePairs } from './triangulate-pairs.js';

/** A generated character with everything that is known about it. */
export interface Marionette {
  readonly mesh: MeshInput & {
    readonly points: Float64Array;
    readonly faceVertexCounts: Int32Array;
    readonly faceVertexIndices: Int32Array;
  };
  /** Index into `parts` of every face. */
  readonly faceParts: Int32Array;
  readonly parts: readonly BodyPart[];
  /** The point and the face on the other side of the body; a point on the middle line is its own partner. */
  readonly pointPartners: Int32Array;
  readonly facePartners: Int32Array;
}

/** Height of the body as modelled. */
const MODEL_HEIGHT = 1.8;

/**
 * Makes a humanoid character of clean quads: +y up, facing +z, its left at +x, standing on y = 0. The skin
 * is one closed shell and comes first; tunic, eyeballs and buttons follow as shells of their own. Left and
 * right mirror each other exactly (in a symmetric pose, without jitter), and the same options give the
 * same bytes. Parts end at edge loops: the head at the narrowest loop of the neck, arm and leg at armhole
 * and groin, hand at the wrist, foot at the ankle, finger and toe at the web.
 *
 * @throws OPTION_INVALID when a number is outside its range
 *
 * @example
 * const { mesh, faceParts, parts } = makeMarionette({ faces: 6000, pose: 'sitting' });
 */
export function makeMarionette(options: MarionetteOptions = {}): Marionette {
  const o = checkOptions(options);
  const { cage, grid, spacing } = fitResolution(o.faces, { ...o, hasSockets: o.hasEyes });
  const shells = [buildShell(cage, grid, { hasFeatures: true })];
  if (o.hasTunic) shells.push(buildShell(buildTunic(2 * spacing), grid, { hasFeatures: false }));
  const front = frontProfile(shells);
  const smallGrid = Math.max(1, Math.round(grid / 2));
  if (o.hasEyes) shells.push(buildShell(buildEyes(), smallGrid, { hasFeatures: false }));
  if (o.buttons > 0)
    shells.push(buildShell(buildButtons(o.buttons, front), smallGrid, { hasFeatures: false }));

  const joined = joinShells(shells);
  const points = new Float64Array(3 * joined.pointPartners.length);
  const pose = poseAngles(o.pose);
  const skeleton = buildSkeleton(o.proportions);
  let start = 0;
  for (const shell of shells) {
    points.set(placeShell(shell, pose, o.proportions, skeleton), start);
    start += 3 * shell.pointCount;
  }
  const scale = o.height / MODEL_HEIGHT;
  for (let i = 0; i < points.length; i++)
    points[i] = (points[i]! - (i % 3 === 1 ? skeleton.floor : 0)) * scale;
  const faces = o.isTriangulated ? triangulatePairs(joined, points) : joined;
  if (o.jitter > 0) {
    const random = seededRandom(o.seed);
    for (let i = 0; i < points.length; i++) points[i]! += random.between(-o.jitter, o.jitter) * o.height;
  }
  const { faceVertexIndices, faceParts, facePartners, pointPartners } = faces;
  const faceVertexCounts = new Int32Array(faceParts.length).fill(o.isTriangulated ? 3 : 4);
  return {
    mesh: { points, faceVertexCounts, faceVertexIndices },
    faceParts,
    parts: joined.parts,
    pointPartners,
    facePartners,
  };
}

const RANGES = { faces: [500, 250_000], buttons: [0, 8], jitter: [0, 0.01], height: [1e-6, 1e6] } as const;

function checkOptions(options: MarionetteOptions): Required<MarionetteOptions> {
  const given = Object.fromEntries(Object.entries(options).filter(([, value]) => value !== undefined));
  const o: Required<MarionetteOptions> = { ...MARIONETTE_DEFAULTS, ...given };
  for (const [name, [low, high]] of Object.entries(RANGES)) {
    const value = o[name as keyof typeof RANGES];
    if (!(value >= low && value <= high)) {
      throw new InvalidOptionError(
        'OPTION_INVALID',
        `makeMarionette: ${name} is ${value}, expected ${low} to ${high}`,
        { option: name },
      );
    }
  }
  return o;
}

/** The faces of all shells in one numbering. */
export interface JoinedFaces {
  readonly faceVertexIndices: Int32Array;
  readonly faceParts: Int32Array;
  readonly facePartners: Int32Array;
  readonly pointPartners: Int32Array;
}

function joinShells(shells: readonly Shell[]): JoinedFaces & { readonly parts: readonly BodyPart[] } {
  const parts: BodyPart[] = [];
  const faceVertexIndices: number[] = [];
  const faceParts: number[] = [];
  const facePartners: number[] = [];
  const pointPartners: number[] = [];
  for (const shell of shells) {
    const firstPoint = pointPartners.length;
    const firstFace = faceParts.length;
    const firstPart = parts.length;
    for (const point of shell.quads) faceVertexIndices.push(firstPoint + point);
    for (const part of shell.faceParts) faceParts.push(firstPart + part);
    for (const face of shell.facePartners) facePartners.push(firstFace + face);
    for (const point of shell.pointPartners) pointPartners.push(firstPoint + point);
    parts.push(...shell.parts);
  }
  return {
    faceVertexIndices: Int32Array.from(faceVertexIndices),
    faceParts: Int32Array.from(faceParts),
    facePartners: Int32Array.from(facePartners),
    pointPartners: Int32Array.from(pointPartners),
    parts,
  };
}
