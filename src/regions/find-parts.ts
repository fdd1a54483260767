import type { AxisFrame, AxisOptions, Mirror } from '../fields/index.js';
import { buildAxisFrame, computeCurvature, findMirror } from '../fields/index.js';
import type { Vec3 } from '../math/index.js';
import { dot, normalize, scale, subtract, vec3At } from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import { computeEdgeLengths, computeFaceGeometry } from '../mesh/index.js';
import type { BranchTree } from './branch-tree.js';
import { outlineBranch } from './branch-tree.js';
import { findBranches } from './find-branches.js';
import type { FieldRegion } from './label-faces.js';
import { labelFaces } from './label-faces.js';
import type { LimbProfile } from './limb-profile.js';
import { findJoint, findWaist, followBranch } from './limb-profile.js';
import { Marcher } from './march.js';
import { mirrorParts } from './mirror-parts.js';
import type { Naming } from './name-branches.js';
import { nameBranches } from './name-branches.js';
import type { Part, PartAxis, PartName, PartTree } from './part.js';
import { findJointPlanes, placeJoint } from './place-joint.js';
import type { WorkSurface } from './work-surface.js';
import { buildWorkSurface } from './work-surface.js';

export interface PartOptions extends AxisOptions {
  /**
   * `limbs` keeps arms and legs whole up to hand and foot; `joints` also parts them at elbow and knee.
   * @defaultValue 'limbs'
   */
  readonly detail?: 'limbs' | 'joints';
  /**
   * The model's mirror, if known; `null` for none. Where it is left out it is looked for.
   * @defaultValue found by findMirror
   */
  readonly mirror?: Mirror | null;
}

export const PART_DEFAULTS = Object.freeze({ detail: 'limbs' as const });

/** Vertices searched on, at most; denser shells are simplified to about this number. */
const WORK_VERTICES = 8000;
/** Shells below this share of the surface are taken whole. */
const SMALLEST_SHELL = 0.01;

interface Draft extends Naming {
  parent: number;
  shell: number;
  region: number;
  tip: number;
  profile?: LimbProfile;
  /** Levels of the profile that the part spans. */
  from: number;
  to: number;
}

/**
 * Finds the parts of a character's body: trunk, head, limbs down to fingers and toes, tail, ears, pockets.
 *
 * Works on the surface's own distances, so the pose has little say; up and front decide names and sides only.
 *
 * @throws OPTION_INVALID
 *
 * About n log n on coarse meshes; dense ones are searched at a bounded resolution.
 */
export function findParts(mesh: Mesh, options: PartOptions = {}): PartTree {
  const frame = buildAxisFrame(options);
  const { faceAreas } = computeFaceGeometry(mesh);
  const costs = {
    edgeLengths: computeEdgeLengths(mesh),
    edgeConcavity: computeCurvature(mesh).edgeConcavity,
  };
  const shells = groupShells(mesh, faceAreas);
  const total = shells.reduce((sum, shell) => sum + shell.area, 0);
  const faceParts = new Int32Array(mesh.faceCount);
  const drafts: Draft[] = [];
  for (const { shell, faces, area } of shells) {
    const first = drafts.length;
    if (area < SMALLEST_SHELL * total || faces.length < 24) {
      drafts.push(plainCore(shell));
      for (const f of faces) faceParts[f] = first;
      continue;
    }
    const { own, regions, surface } = analyseShell(mesh, faces, shell, frame, options);
    const faceRegions = new Int32Array(mesh.faceCount);
    labelFaces(mesh, faces, surface, costs, regions, faceRegions);
    for (const draft of own) {
      if (draft.parent >= 0) draft.parent += first;
      if (draft.partner >= 0) draft.partner += first;
      if (draft.tip >= 0) draft.tip = nearestMeshVertex(surface, draft.tip);
      drafts.push(draft);
    }
    for (const f of faces) faceParts[f] = first + faceRegions[f]!;
  }
  const mirror = options.mirror === undefined ? findMirror(mesh, options) : options.mirror;
  if (mirror) mirrorParts(mesh, mirror, faceAreas, faceParts, drafts);
  return { faceParts, parts: describe(mesh, faceAreas, faceParts, drafts, frame) };
}

interface Shell {
  shell: number;
  faces: Int32Array;
  area: number;
}

function groupShells(mesh: Mesh, faceAreas: Float64Array): Shell[] {
  const lists: number[][] = Array.from({ length: mesh.shellCount }, () => []);
  const areas = new Float64Array(mesh.shellCount);
  for (let f = 0; f < mesh.faceCount; f++) {
    lists[mesh.faceShells[f]!]!.push(f);
    areas[mesh.faceShells[f]!]! += faceAreas[f]!;
  }
  return lists.map((faces, shell) => ({ shell, faces: Int32Array.from(faces), area: areas[shell]! }));
}

function plainCore(shell: number): Draft {
  return {
    name: 'core',
    side: 'centre',
    confidence: 0.3,
    partner: -1,
    parent: -1,
    shell,
    region: 0,
    tip: -1,
    from: 0,
    to: 0,
  };
}

function analyseShell(mesh: Mesh, faces: Int32Array, shell: number, frame: AxisFrame, options: PartOptions) {
  const surface = buildWorkSurface(mesh, faces, WORK_VERTICES);
  const marcher = new Marcher(surface);
  const tree = findBranches(surface, marcher);
  const naming = nameBranches(surface, tree, frame);
  const profiles = tree.branches.map((_, b) => followBranch(surface, marcher, tree, b));
  const planes = findJointPlanes(surface, tree, naming.branches, profiles, frame.side);
  const fields = planes.map(
    (plane, b) => plane && placeJoint(surface, tree, b, plane, tree.branches[naming.branches[b]!.partner]),
  );
  fields.forEach((field, b) => {
    if (!field) return;
    outlineBranch(surface, tree, b, field);
    profiles[b] = followBranch(surface, marcher, tree, b);
  });
  const regions: FieldRegion[] = [{ parent: -1, field: new Float64Array(0), radius: 0 }];
  const own: Draft[] = [{ ...plainCore(shell), ...naming.core }];
  // Where each branch's own children hang: the branch itself, or the hand or foot at its end.
  const endOf = new Int32Array(tree.branches.length).fill(-1);
  const partOf = new Int32Array(tree.branches.length).fill(-1);
  const add = (field: Float64Array, radius: number, draft: Draft): number => {
    regions.push({ parent: draft.parent, field, radius });
    draft.region = own.length;
    return own.push(draft) - 1;
  };
  const order = parentsFirst(tree);
  for (const b of order) {
    const branch = tree.branches[b]!;
    const parent = branch.parent < 0 ? 0 : endOf[branch.parent]!;
    const named = naming.branches[b]!;
    const { field } = branch;
    const profile = profiles[b]!;
    const draft: Draft = {
      ...plainCore(shell),
      ...named,
      partner: -1,
      parent,
      tip: profile.tip,
      profile,
      from: 0,
      to: profile.reach,
    };
    const radius = branch.base.length / (2 * Math.PI);
    const id = add(field, radius, draft);
    partOf[b] = id;
    endOf[b] = id;
    if (named.name !== 'arm' && named.name !== 'leg') continue;
    const end = findWaist(profile, 0.55, named.name === 'arm' ? 0.9 : 0.93);
    const isDigital = branch.children.some((c) => !tree.branches[c]!.isPocket);
    // A biped has hands and feet even where nothing narrows before them; a hoofed leg may have none.
    const fallback = named.name === 'arm' ? 0.72 : 0.82;
    const isBiped = named.joint !== 'square' && named.confidence > 0.8;
    const level =
      end && end.depth > 1.06 ? end.level : isDigital || isBiped ? fallback * profile.reach : Infinity;
    let last = id;
    if (options.detail === 'joints') {
      const joint = findJoint(profile, Math.min(level, profile.reach));
      draft.name = named.name === 'arm' ? 'upper-arm' : 'thigh';
      draft.to = joint;
      last = add(beyond(field, profile, joint), girthAt(profile, joint), {
        ...draft,
        name: named.name === 'arm' ? 'forearm' : 'shin',
        parent: id,
        from: joint,
        to: Math.min(level, profile.reach),
      });
    } else draft.to = Math.min(level, profile.reach);
    endOf[b] = last;
    if (level < Infinity) {
      endOf[b] = add(beyond(field, profile, level), girthAt(profile, level), {
        ...draft,
        name: named.name === 'arm' ? 'hand' : 'foot',
        confidence: named.confidence * (end ? 0.95 : 0.6),
        parent: last,
        from: level,
        to: profile.reach,
      });
    }
  }
  tree.branches.forEach((_, b) => {
    const partner = naming.branches[b]!.partner;
    if (partner < 0) return;
    // Chains of limb parts pair up one by one.
    let p = partOf[b]!;
    let q = partOf[partner]!;
    for (;;) {
      own[p]!.partner = q;
      if (p === endOf[b] || q === endOf[partner]) break;
      p++;
      q++;
    }
  });
  return { own, regions, surface };
}

/** Radius of a limb at a level. */
function girthAt(profile: LimbProfile, level: number): number {
  const i = Math.min(profile.girths.length - 1, Math.max(0, Math.round(level / profile.step - 0.5)));
  return profile.girths[i]! / (2 * Math.PI);
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

/** The part of a branch beyond a level of its profile. */
function beyond(field: Float64Array, profile: LimbProfile, level: number): Float64Array {
  return field.map((value, v) => {
    const d = profile.distances[v]!;
    return d < Infinity ? Math.min(Math.max(value, d > level ? 1e-12 : value), d - level) : -Math.abs(value);
  });
}

function nearestMeshVertex(surface: WorkSurface, v: number): number {
  const exact = surface.nearest.indexOf(v);
  if (exact >= 0) return surface.meshVertices[exact]!;
  const { neighbourOffsets, neighbours } = surface;
  // Split vertices are next to one of the mesh's own within a few steps.
  const seen = new Set([v]);
  for (let ring = [v]; ring.length > 0; ) {
    const next: number[] = [];
    for (const u of ring)
      for (let i = neighbourOffsets[u]!; i < neighbourOffsets[u + 1]!; i++) {
        const w = neighbours[i]!;
        if (seen.has(w)) continue;
        seen.add(w);
        next.push(w);
      }
    for (const w of next.sort((a, b) => a - b)) {
      const i = surface.nearest.indexOf(w);
      if (i >= 0) return surface.meshVertices[i]!;
    }
    ring = next;
  }
  return -1;
}

function describe(
  mesh: Mesh,
  faceAreas: Float64Array,
  faceParts: Int32Array,
  drafts: readonly Draft[],
  frame: AxisFrame,
): Part[] {
  const areas = new Float64Array(drafts.length);
  for (let f = 0; f < mesh.faceCount; f++) areas[faceParts[f]!]! += faceAreas[f]!;
  const bases: number[][] = drafts.map(() => []);
  for (let e = 0; e < mesh.edgeCount; e++) {
    const h = mesh.edgeHalfEdges[e]!;
    const t = mesh.twin[h]!;
    if (t < 0) continue;
    const a = faceParts[mesh.cornerFaces[h]!]!;
    const b = faceParts[mesh.cornerFaces[t]!]!;
    if (a === b) continue;
    if (drafts[a]!.parent === b) bases[a]!.push(e);
    else if (drafts[b]!.parent === a) bases[b]!.push(e);
  }
  const middle = centroid(mesh, faceAreas, faceParts, drafts);
  return drafts.map((draft, i): Part => {
    const axis = draft.profile ? axisOf(draft.profile, draft.from, draft.to) : undefined;
    const isLimb = LIMBS.has(draft.name);
    return {
      name: draft.name,
      side: draft.side,
      digit: draft.digit,
      order: draft.order,
      confidence: draft.confidence,
      parent: draft.parent,
      partner: draft.partner,
      shell: draft.shell,
      area: areas[i]!,
      tip: draft.tip,
      base: bases[i]!,
      axis,
      inner: isLimb && axis ? innerDirection(axis, middle, frame) : undefined,
    };
  });
}

const LIMBS = new Set<PartName>([
  'arm',
  'upper-arm',
  'forearm',
  'hand',
  'finger',
  'leg',
  'thigh',
  'shin',
  'foot',
  'toe',
]);

function axisOf(profile: LimbProfile, from: number, to: number): PartAxis | undefined {
  const { step, girths, centres } = profile;
  const points: number[] = [];
  const own: number[] = [];
  for (let i = 0; i < girths.length; i++) {
    const level = (i + 0.5) * step;
    if (level < from || level > to || !(girths[i]! > 0)) continue;
    points.push(centres[3 * i]!, centres[3 * i + 1]!, centres[3 * i + 2]!);
    own.push(girths[i]!);
  }
  if (own.length < 2) return undefined;
  return { points: Float64Array.from(points), girths: Float64Array.from(own) };
}

/** Towards the body's middle, square to the limb. */
function innerDirection(axis: PartAxis, middle: Vec3, frame: AxisFrame): Vec3 {
  const count = axis.girths.length;
  const first = vec3At(axis.points, 0);
  const along = normalize(subtract(vec3At(axis.points, count - 1), first));
  const centre = vec3At(axis.points, count >> 1);
  const sideways = dot(subtract(middle, centre), frame.side) >= 0 ? 1 : -1;
  // Inner is towards the mirror plane and, for a raised limb, downwards.
  const wanted = subtract(scale(frame.side, sideways), scale(frame.up, 0.5));
  const square = subtract(wanted, scale(along, dot(wanted, along)));
  return normalize(square);
}

function centroid(
  mesh: Mesh,
  faceAreas: Float64Array,
  faceParts: Int32Array,
  drafts: readonly Draft[],
): Vec3 {
  const sum: [number, number, number] = [0, 0, 0];
  let area = 0;
  for (let f = 0; f < mesh.faceCount; f++) {
    if (drafts[faceParts[f]!]!.parent >= 0) continue;
    const first = mesh.faceOffsets[f]!;
    const count = mesh.faceOffsets[f + 1]! - first;
    area += faceAreas[f]!;
    for (let c = first; c < first + count; c++)
      for (let k = 0; k < 3; k++)
        sum[k]! += (faceAreas[f]! * mesh.points[3 * mesh.cornerPoints[c]! + k]!) / count;
  }
  return scale(sum, 1 / (area || 1));
}
