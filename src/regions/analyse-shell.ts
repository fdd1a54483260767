import type { AxisFrame } from '../fields/index.js';
import type { Mesh } from '../mesh/index.js';
import type { BranchTree } from './branch-tree.js';
import { listGrowths, outlineBranch } from './branch-tree.js';
import type { Draft } from './draft.js';
import { draftCore } from './draft.js';
import { findBranches } from './find-branches.js';
import type { FieldRegion } from './label-faces.js';
import type { LimbProfile } from './limb-profile.js';
import { findJoint, findWaist, followBranch } from './limb-profile.js';
import { Marcher } from './march.js';
import type { ShellNaming } from './name-branches.js';
import { nameBranches } from './name-branches.js';
import type { PartName } from './part.js';
import { findJointPlanes, placeJoint } from './place-joint.js';
import type { WorkSurface } from './work-surface.js';
import { buildWorkSurface } from './work-surface.js';

/** What was found on one shell: drafts and regions in one order, parents first, the whole shell at 0. */
export interface ShellAnalysis {
  readonly drafts: Draft[];
  readonly regions: FieldRegion[];
  readonly surface: WorkSurface;
}

/** Vertices searched on, at most; denser shells are simplified to about this number. */
const WORK_VERTICES = 8000;
/** Triangles searched on, at least; of a small shell its share of what all may have. */
const WORK_TRIANGLES = 5000;
const TRIANGLES_OF_ALL = 120_000;

/** A digit begins this much further in than its front widens, in radii: at the knuckle, not at the web. */
const DIGIT_ROOTS = { finger: 0.4, toe: 0.2 } as const;

/** Where along a limb its end begins. */
interface LimbEnd {
  readonly name: 'hand' | 'foot';
  readonly from: number;
  readonly to: number;
  /** Share of the limb's reach where nothing narrows. */
  readonly usual: number;
}

const ENDS = {
  arm: { name: 'hand', from: 0.55, to: 0.9, usual: 0.72 },
  leg: { name: 'foot', from: 0.55, to: 0.93, usual: 0.82 },
} as const satisfies Record<string, LimbEnd>;

const SEGMENTS = { arm: ['upper-arm', 'forearm'], leg: ['thigh', 'shin'] } as const;

/** Parts whose base is a narrow place, or a cut across a limb. */
const AT_WAIST = new Set<PartName>(['head', 'hand', 'foot', 'forearm', 'shin']);

export interface ShellOptions {
  readonly frame: AxisFrame;
  /** Whether limbs are parted at elbow and knee. */
  readonly hasJoints: boolean;
  /** Of the whole surface's area, 0..1. */
  readonly share: number;
}

/** Finds the branches of a shell, names them, places their joints and cuts limbs into segments. */
export function analyseShell(
  mesh: Mesh,
  faces: Int32Array,
  shell: number,
  { frame, hasJoints, share }: ShellOptions,
): ShellAnalysis {
  const surface = buildWorkSurface(mesh, faces, {
    leastTriangles: Math.min(WORK_TRIANGLES, TRIANGLES_OF_ALL * share),
    mostVertices: WORK_VERTICES,
  });
  const marcher = new Marcher(surface);
  const tree = findBranches(surface, marcher);
  const naming = nameBranches(surface, tree, frame);
  const profiles = placeJoints(surface, marcher, tree, naming, frame);

  const regions: FieldRegion[] = [{ parent: -1, field: new Float64Array(0), radius: 0, place: 'base' }];
  const drafts: Draft[] = [{ ...draftCore(shell), ...naming.core }];
  // First and last draft of each branch: children hang on the last, which is the hand or foot of a limb.
  const firsts = new Int32Array(tree.branches.length).fill(-1);
  const lasts = new Int32Array(tree.branches.length).fill(-1);
  const add = (field: Float64Array, radius: number, draft: Draft): number => {
    regions.push({ parent: draft.parent, field, radius, place: AT_WAIST.has(draft.name) ? 'waist' : 'base' });
    return drafts.push(draft) - 1;
  };
  for (const b of parentsFirst(tree)) {
    const branch = tree.branches[b]!;
    const named = naming.branches[b]!;
    const profile = profiles[b]!;
    const draft: Draft = {
      ...draftCore(shell),
      ...named,
      partner: -1,
      parent: branch.parent < 0 ? 0 : lasts[branch.parent]!,
      tip: profile.tip,
      profile,
      to: profile.reach,
    };
    const radius = branch.base.length / (2 * Math.PI);
    const root = named.name === 'finger' || named.name === 'toe' ? DIGIT_ROOTS[named.name] * radius : 0;
    const field = root > 0 ? branch.field.map((value) => value + root) : branch.field;
    firsts[b] = add(field, radius, draft);
    lasts[b] = firsts[b]!;
    if (named.name !== 'arm' && named.name !== 'leg') continue;
    const end = ENDS[named.name];
    const { level, isSeen } = findEnd(tree, b, naming, profile, end);
    const cut = (name: PartName, from: number, to: number, confidence: number): void => {
      drafts[lasts[b]!]!.to = from;
      lasts[b] = add(beyond(branch.field, profile, from), radiusAt(profile, from), {
        ...draft,
        name,
        confidence,
        parent: lasts[b]!,
        from,
        to,
      });
    };
    if (hasJoints) {
      const [upper, lower] = SEGMENTS[named.name];
      const reach = Math.min(level, profile.reach);
      draft.name = upper;
      cut(lower, findJoint(profile, reach), reach, named.confidence);
    }
    if (level < Infinity) cut(end.name, level, profile.reach, named.confidence * (isSeen ? 0.95 : 0.6));
  }
  pairDrafts(naming, drafts, firsts, lasts);
  return { drafts, regions, surface };
}

/** Moves the bases of arms and legs into their joints; returns every branch's profile from its base. */
function placeJoints(
  surface: WorkSurface,
  marcher: Marcher,
  tree: BranchTree,
  naming: ShellNaming,
  frame: AxisFrame,
): LimbProfile[] {
  const profiles = tree.branches.map((_, b) => followBranch(surface, marcher, tree, b));
  const planes = findJointPlanes(surface, tree, naming.branches, profiles, frame.side);
  const fields = planes.map(
    (plane, b) => plane && placeJoint(surface, tree, b, plane, tree.branches[naming.branches[b]!.partner]),
  );
  fields.forEach((field, b) => {
    if (!field || !isLikely(surface, tree, b, field)) return;
    outlineBranch(surface, tree, b, field);
    profiles[b] = followBranch(surface, marcher, tree, b);
  });
  return profiles;
}

/** A joint's plane that gives a limb, or takes from it, more than this factor was laid astray. */
const MOST_CHANGE = 1.7;

/** Whether a joint leaves a limb of about the size it had. */
function isLikely(surface: WorkSurface, tree: BranchTree, id: number, field: Float64Array): boolean {
  const { triangles, triangleAreas, triangleCount } = surface;
  const { parent } = tree.branches[id]!;
  let before = 0;
  let after = 0;
  for (let t = 0; t < triangleCount; t++) {
    const b = tree.triangleBranches[t]!;
    if (b === id) before += triangleAreas[t]!;
    if (b !== id && b !== parent) continue;
    const sum = field[triangles[3 * t]!]! + field[triangles[3 * t + 1]!]! + field[triangles[3 * t + 2]!]!;
    if (sum > 0) after += triangleAreas[t]!;
  }
  return after < MOST_CHANGE * before && before < MOST_CHANGE * after;
}

/** The level of a wrist or ankle; Infinity where the limb has no hand or foot to speak of. */
function findEnd(
  tree: BranchTree,
  b: number,
  naming: ShellNaming,
  profile: LimbProfile,
  end: LimbEnd,
): { level: number; isSeen: boolean } {
  const waist = findWaist(profile, end.from, end.to);
  if (waist && waist.depth > 1.06) return { level: waist.level, isSeen: true };
  const hasDigits = listGrowths(tree.branches, b).length > 0;
  // A biped has hands and feet even where nothing narrows before them; a hoofed leg may have none.
  const isBiped = naming.branches[b]!.joint !== 'square' && naming.branches[b]!.confidence > 0.8;
  return { level: hasDigits || isBiped ? end.usual * profile.reach : Infinity, isSeen: false };
}

/** Pairs of branches make pairs of parts; the segments of limbs pair up one by one. */
function pairDrafts(naming: ShellNaming, drafts: Draft[], firsts: Int32Array, lasts: Int32Array): void {
  naming.branches.forEach(({ partner }, b) => {
    if (partner < 0) return;
    for (let p = firsts[b]!, q = firsts[partner]!; ; p++, q++) {
      drafts[p]!.partner = q;
      if (p === lasts[b] || q === lasts[partner]) break;
    }
  });
}

function parentsFirst(tree: BranchTree): number[] {
  const order: number[] = [];
  const visit = (b: number): void => {
    order.push(b);
    for (const child of tree.branches[b]!.children) visit(child);
  };
  tree.branches.forEach((branch, b) => {
    if (branch.parent < 0) visit(b);
  });
  return order;
}

/** Radius of a limb at a level. */
function radiusAt({ girths, step }: LimbProfile, level: number): number {
  return girths[Math.min(girths.length - 1, Math.max(0, Math.round(level / step - 0.5)))]! / (2 * Math.PI);
}

/** The part of a branch beyond a level of its profile. */
function beyond(field: Float64Array, { distances }: LimbProfile, level: number): Float64Array {
  return field.map((value, v) => {
    const d = distances[v]!;
    if (!(d < Infinity)) return -Math.abs(value);
    return Math.min(d > level ? Math.max(value, 1e-12) : value, d - level);
  });
}
