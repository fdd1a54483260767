import type { Vec3 } from '../math/index.js';
import { add, cross, dot, normalize, scale, subtract, vec3At } from '../math/index.js';
import type { Branch, BranchTree } from './branch-tree.js';
import { markDescendants } from './branch-tree.js';
import type { LimbProfile } from './limb-profile.js';
import { measureHollow } from './measure-hollow.js';
import { coreCentre, measureShape } from './measure-shape.js';
import type { Naming } from './name-branches.js';
import type { TriangleSurface } from './triangle-surface.js';

/**
 * How the plane of a joint leans: weights of the direction across the body (outwards), along the limb, down the
 * trunk, and to the front; and how far inward of the armpit or crotch it lies, in radii. An arm is set in as a
 * sleeve is, nearly upright whatever the arm does; a leg is parted along the groin, which runs higher in front
 * than under the buttock and follows the trunk more than the thigh. Fitted to how the joints of a rigged body
 * move; common practice, no source.
 */
const LEAN = {
  sleeve: { across: 1, along: 0.25, trunk: 0, front: 0, allowance: 0.1 },
  groin: { across: 0.65, along: 0.4, trunk: 0.65, front: 0.25, allowance: 0.14 },
} as const;

/** How far past the level of its base a joint may reach, in radii. */
const REACH = 2.6;
/** How much of the limb before the level of its base the plane may give to the trunk, in radii. */
const GIVE = 0.5;
/** Least hollowness of a pit above that of a tube of the limb's girth, in units of one over the radius. */
const LEAST_HOLLOW = 0.2;
/** How far below the armpit, towards the hips, a sleeve may reach, in radii. */
const SLEEVE_DROP = 0.25;
/** The same below the lowest point of a raised arm's base, whose armpit has moved down the flank. */
const RAISED_DROP = 1.7;
/** An arm whose direction rises by more than this (sine) counts as raised. */
const RAISED = 0.35;
/** The armpit of an arm that is not lies no higher than this above the middle of its base, in radii: what is hollow higher up is beside the neck. */
const PIT_RISE = 0.6;
/** Rounds of averaging of the hollowness that finds an armpit. */
const HOLLOW_ROUNDS = 4;

/** Outward normal of the plane in which a limb is joined to the trunk. */
function jointNormal(
  surface: TriangleSurface,
  tree: BranchTree,
  names: readonly Naming[],
  id: number,
  profile: LimbProfile,
  side: Vec3,
): Vec3 | undefined {
  const naming = names[id]!;
  if (!naming.joint || naming.joint === 'square') return undefined;
  const lean = LEAN[naming.joint];
  const along = limbDirection(profile, tree.branches[id]!);
  const base = measureShape(surface, tree, id).base;
  let across = scale(side, naming.side === 'left' ? 1 : naming.side === 'right' ? -1 : 0);
  let middle = base;
  if (naming.partner >= 0) {
    const other = measureShape(surface, tree, naming.partner).base;
    across = normalize(subtract(base, other));
    middle = scale(add(base, other), 0.5);
  }
  const trunk = normalize(subtract(middle, coreCentre(surface, tree)));
  // The body's front, by its own left and the way down its trunk.
  const front = scale(cross(trunk, across), naming.side === 'right' ? -1 : 1);
  const outwards = add(scale(across, lean.across), scale(along, lean.along));
  return normalize(add(outwards, add(scale(trunk, lean.trunk), scale(front, lean.front))));
}

/** Direction of the first stretch of a limb, away from its base. */
function limbDirection(profile: LimbProfile, branch: Branch): Vec3 {
  const radius = branch.base.length / (2 * Math.PI);
  const count = profile.girths.length;
  const at = (level: number) => Math.min(count - 1, Math.max(0, Math.round(level / profile.step - 0.5)));
  const near = at(0.5 * radius);
  const far = Math.max(near + 1, at(3 * radius));
  return normalize(
    subtract(vec3At(profile.centres, Math.min(far, count - 1)), vec3At(profile.centres, near)),
  );
}

/** Where a limb's joint is looked for. */
export interface JointPlane {
  readonly normal: Vec3;
  /** Height along the normal of the innermost point of the joint: the armpit, the crotch. */
  readonly offset: number;
  /** Distance from the limb's tip of that point. */
  readonly level: number;
  /** Direction and least height along it: a set-in sleeve does not run down the flank. */
  readonly floor?: { readonly direction: Vec3; readonly height: number };
}

/** Finds the planes of all arms and legs; pairs that agree share the depth of their joints. */
export function findJointPlanes(
  surface: TriangleSurface,
  tree: BranchTree,
  names: readonly Naming[],
  profiles: readonly LimbProfile[],
  side: Vec3,
): (JointPlane | undefined)[] {
  const hollow = measureHollow(surface, HOLLOW_ROUNDS);
  const planes = tree.branches.map((branch, b): JointPlane | undefined => {
    const normal = jointNormal(surface, tree, names, b, profiles[b]!, side);
    if (!normal) return undefined;
    const height = heightAlong(surface, normal);
    const partner = tree.branches[names[b]!.partner];
    const sleeve =
      names[b]!.joint === 'sleeve' ? measureSleeve(surface, tree, b, normal, profiles[b]!) : undefined;
    const pit =
      names[b]!.joint === 'groin' && partner
        ? meetingPoint(branch, partner)
        : deepestPit(surface, tree, b, hollow, partner, sleeve);
    return {
      normal,
      offset: pit >= 0 ? height(pit) : lowestAtBase(branch, height),
      level: pit >= 0 ? Math.max(branch.base.level, branch.distances[pit]!) : branch.base.level,
      floor: sleeve && pit >= 0 ? sleeveFloor(surface, branch, sleeve, pit) : undefined,
    };
  });
  return planes.map((plane, b) => {
    const other = names[b]!.partner;
    if (!plane || other < 0 || !planes[other]) return plane;
    const radius = tree.branches[b]!.base.length / (2 * Math.PI);
    const depth = (i: number) =>
      planes[i]!.offset - dot(measureShape(surface, tree, i).base, planes[i]!.normal);
    const difference = depth(other) - depth(b);
    const shared = Math.abs(difference) < 0.7 * radius ? difference / 2 : 0;
    return {
      ...plane,
      offset: plane.offset + shared - LEAN[names[b]!.joint as keyof typeof LEAN].allowance * radius,
    };
  });
}

/** How an arm lies within the plane of its joint. */
interface Sleeve {
  /** Up the trunk, within the plane. */
  readonly direction: Vec3;
  /** Height along it of the middle of the arm's base. */
  readonly middle: number;
  readonly isRaised: boolean;
}

function measureSleeve(
  surface: TriangleSurface,
  tree: BranchTree,
  id: number,
  normal: Vec3,
  profile: LimbProfile,
): Sleeve {
  const { base } = measureShape(surface, tree, id);
  const upward = subtract(base, coreCentre(surface, tree));
  const direction = normalize(subtract(upward, scale(normal, dot(upward, normal))));
  const isRaised = dot(limbDirection(profile, tree.branches[id]!), direction) > RAISED;
  return { direction, middle: dot(base, direction), isRaised };
}

/** How low a sleeve may reach down the flank. */
function sleeveFloor(
  surface: TriangleSurface,
  branch: Branch,
  { direction, isRaised }: Sleeve,
  pit: number,
): NonNullable<JointPlane['floor']> {
  const rise = heightAlong(surface, direction);
  const radius = branch.base.length / (2 * Math.PI);
  if (!isRaised) return { direction, height: rise(pit) - SLEEVE_DROP * radius };
  // On a raised arm the pit may be the one on top, beside the neck.
  return { direction, height: Math.min(lowestAtBase(branch, rise), rise(pit)) - RAISED_DROP * radius };
}

/** The least height of the vertices about the level of a base. */
function lowestAtBase({ base, distances }: Branch, height: (v: number) => number): number {
  const radius = base.length / (2 * Math.PI);
  let lowest = Infinity;
  for (let v = 0; v < distances.length; v++)
    if (Math.abs(distances[v]! - base.level) < BASE_BAND * radius) lowest = Math.min(lowest, height(v));
  return lowest;
}

/** Vertices this near to the level of a base count as on it, in radii. */
const BASE_BAND = 0.15;

const heightAlong = (surface: TriangleSurface, normal: Vec3) => (v: number) =>
  surface.positions[3 * v]! * normal[0] +
  surface.positions[3 * v + 1]! * normal[1] +
  surface.positions[3 * v + 2]! * normal[2];

/** Marks vertices that belong to other branches, or are nearer to the partner's base than to the own. */
function markOthers(
  surface: TriangleSurface,
  tree: BranchTree,
  id: number,
  partner: Branch | undefined,
): Uint8Array {
  const { triangles, triangleCount, vertexCount } = surface;
  const branch = tree.branches[id]!;
  const isWithin = markDescendants(tree.branches, id);
  const isOther = new Uint8Array(vertexCount);
  for (let t = 0; t < triangleCount; t++) {
    const b = tree.triangleBranches[t]!;
    if (b >= 0 && !isWithin[b]) for (let k = 0; k < 3; k++) isOther[triangles[3 * t + k]!] = 1;
  }
  if (partner)
    for (let v = 0; v < vertexCount; v++)
      if (partner.distances[v]! - partner.base.level < branch.distances[v]! - branch.base.level)
        isOther[v] = 1;
  return isOther;
}

/**
 * Moves a limb's base from the level of its kink to the plane of its joint: everything connected to the limb
 * on the plane's outer side joins the limb.
 *
 * @returns the new field of the branch: positive inside
 */
export function placeJoint(
  surface: TriangleSurface,
  tree: BranchTree,
  id: number,
  { normal, offset, level, floor }: JointPlane,
  partner?: Branch,
): Float64Array {
  const { vertexCount, neighbourOffsets, neighbours } = surface;
  const branch = tree.branches[id]!;
  const radius = branch.base.length / (2 * Math.PI);
  const { distances, field } = branch;
  const isOther = markOthers(surface, tree, id, partner);
  const height = heightAlong(surface, normal);
  const rise = floor ? heightAlong(surface, floor.direction) : undefined;
  const out = new Float64Array(vertexCount).fill(-radius);
  const clip = (x: number) => Math.min(radius, Math.max(-radius, x));
  const isReached = new Uint8Array(vertexCount);
  const queue: number[] = [];
  for (let v = 0; v < vertexCount; v++) {
    if (field[v]! <= 0) continue;
    isReached[v] = 1;
    // Just before the kink the plane may also give a little of the limb back to the trunk.
    const isSure = distances[v]! < branch.base.level - GIVE * radius || distances[v] === Infinity;
    out[v] = isSure ? Math.max(field[v]!, clip(height(v) - offset)) : clip(height(v) - offset);
    if (out[v]! > 0) queue.push(v);
  }
  for (let i = 0; i < queue.length; i++) {
    const v = queue[i]!;
    for (let j = neighbourOffsets[v]!; j < neighbourOffsets[v + 1]!; j++) {
      const w = neighbours[j]!;
      if (isReached[w]) continue;
      isReached[w] = 1;
      const beyond = level + REACH * radius - distances[w]!;
      const above = rise ? rise(w) - floor!.height : Infinity;
      out[w] = isOther[w] ? -0.05 * radius : clip(Math.min(height(w) - offset, beyond, above));
      if (out[w]! > 0) queue.push(w);
    }
  }
  return out;
}

/** Where the fronts of two limbs first touch: the crotch. */
function meetingPoint(a: Branch, b: Branch): number {
  let best = -1;
  let least = Infinity;
  for (let v = 0; v < a.distances.length; v++) {
    const later = Math.max(a.distances[v]! - a.base.level, b.distances[v]! - b.base.level);
    if (later < least) {
      least = later;
      best = v;
    }
  }
  return best;
}

/** The most hollow place near the base: an armpit or a crotch; -1 where nothing is hollow. */
function deepestPit(
  surface: TriangleSurface,
  tree: BranchTree,
  id: number,
  hollow: Float64Array,
  partner: Branch | undefined,
  sleeve: Sleeve | undefined,
): number {
  const branch = tree.branches[id]!;
  const isOther = markOthers(surface, tree, id, partner);
  const { level, length } = branch.base;
  const radius = length / (2 * Math.PI);
  const rise = sleeve && !sleeve.isRaised ? heightAlong(surface, sleeve.direction) : undefined;
  const highest = sleeve ? sleeve.middle + PIT_RISE * radius : Infinity;
  let best = -1;
  let most = LEAST_HOLLOW;
  for (let v = 0; v < hollow.length; v++) {
    const off = (branch.distances[v]! - level) / radius;
    if (!(off > -1.2 && off < 2.6) || isOther[v] || (rise && rise(v) > highest)) continue;
    // A tube has a hollowness of minus one half over its radius.
    const value = (hollow[v]! * radius + 0.5) * Math.exp(-((off / (off > 0 ? 2.6 : 1.2)) ** 2));
    if (value > most) {
      most = value;
      best = v;
    }
  }
  return best;
}
