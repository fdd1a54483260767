import type { Base } from './find-base.js';
import { findBase, judgeSaddle } from './find-base.js';
import type { Marcher } from './march.js';
import { computeMeanDistance } from './mean-distance.js';
import type { Profile } from './profile.js';
import { measureProfile } from './profile.js';
import type { Sweep } from './sweeps.js';
import { prepareSweeps } from './sweeps.js';
import type { TriangleSurface } from './triangle-surface.js';

/** A piece of a shell that sticks out (or in): everything nearer to its tip than its base. */
export interface Branch {
  readonly tip: number;
  readonly base: Base;
  /** Distance from the tip over the part of the surface that was open, Infinity elsewhere. */
  readonly distances: Float64Array;
  /** Triangles of the branch without its children. */
  triangles: Int32Array;
  /** Per vertex, positive inside the branch (with its children); the base is where it is 0. */
  field: Float64Array;
  /** Index of the branch this one grows from, -1 for the core. */
  parent: number;
  /** With the children's. */
  readonly area: number;
  readonly children: number[];
  /** It sticks in, not out: a mouth bag, an eye socket, a nostril. */
  readonly isPocket: boolean;
  /** Distances from the tip of sharp bends on the way, as at a bent knee. */
  readonly bends: readonly number[];
}

export interface BranchTree {
  readonly branches: Branch[];
  /** Branch of each triangle, -1 for the core. */
  readonly triangleBranches: Int32Array;
}

const SAMPLES = 30;
/** A branch may not take more than this share of the shell. */
const LARGEST_SHARE = 0.45;
const ROUNDS = 12;
/** Within a round no piece is larger than this many times the smallest. */
const ROUND_RANGE = 4;
/** A branch may be at most this many times longer than its hill in the mean distance is high. */
const LEAST_SLOPE = 6;

/** A limb goes on beyond a bend for at least so many radii. */
const LEAST_STRETCH = 2.5;

const NO_FIELD = new Float64Array(0);

interface Candidate {
  sweep: Sweep;
  base: Base;
  profile: Profile;
  triangles: number[];
  /** The only child is the outer stretch of the same limb, beyond a bend. */
  absorbs: boolean;
  isPocket: boolean;
  /** With the children's. */
  area: number;
}

/**
 * Takes a shell apart from its tips inwards: in each round the smallest pieces that end in a base of their
 * own are taken off, then what is left is searched again, so fingers go before arms.
 */
export function findBranches(surface: TriangleSurface, marcher: Marcher): BranchTree {
  const { vertexCount, triangleCount, triangles } = surface;
  const field = computeMeanDistance(surface, marcher, SAMPLES);
  const shellArea = surface.area;
  const size = Math.sqrt(shellArea);
  const isOpen = new Uint8Array(triangleCount).fill(1);
  const triangleBranches = new Int32Array(triangleCount).fill(-1);
  const branches: Branch[] = [];
  const isAbsorbed: (1 | undefined)[] = [];
  const sweeps = prepareSweeps(surface, marcher, field, size);

  for (let round = 0; round < ROUNDS; round++) {
    const candidates: Candidate[] = [];
    for (const sweep of sweeps) {
      const candidate = sweep.isAlive ? search(sweep) : undefined;
      if (candidate) candidates.push(candidate);
    }
    if ((globalThis as any).DEBUG) for (const c of candidates) console.log('round', round, 'tip', [0,1,2].map((k) => surface.positions[3 * c.sweep.tip + k]!.toFixed(2)).join(','), 'start', (c.sweep.start/size).toFixed(3), 'level', (c.base.level / size).toFixed(3), 'P', (c.base.length / size).toFixed(3), 'grow', c.base.growthBefore.toFixed(2), c.base.growthAfter.toFixed(2), 'area', (c.area / shellArea).toFixed(4), c.absorbs);
    candidates.sort((a, b) => a.area - b.area || a.sweep.tip - b.sweep.tip);
    const isTaken = new Uint8Array(triangleCount);
    let taken = 0;
    for (const candidate of candidates) {
      // Pieces of one size go together: a leg taken early would leave the other one's front nothing to spread on.
      if (candidate.area > ROUND_RANGE * candidates[0]!.area && taken > 0) break;
      if (overlap(candidate, isTaken)) continue;
      let best = candidate;
      for (const other of candidates) {
        if (other.area > 1.3 * candidate.area || !isBetter(other.sweep, best.sweep)) continue;
        if (overlap(other, isTaken)) continue;
        if (share(surface, candidate.triangles, other.triangles) > 0.7 * candidate.area) best = other;
      }
      // Others of this round may have changed what it encloses.
      const fresh = enclose(best.sweep, best.base, best.profile);
      if (!fresh) continue;
      for (const t of fresh.triangles) isTaken[t] = 1;
      add(fresh);
      taken++;
    }
    if (taken === 0) break;
  }
  const tree = compact(branches, isAbsorbed, triangleBranches);
  tree.branches.forEach((branch, b) => {
    branch.field = levelField(surface, tree, b);
  });
  return tree;

  /** Of nearly equal pieces, the one seen from most tips, then from the farthest tip, is cut the straightest. */
  function isBetter(a: Sweep, b: Sweep): boolean {
    return a.tipCount !== b.tipCount ? a.tipCount > b.tipCount : field[a.tip]! > field[b.tip]!;
  }

  /** The next base along a sweep that takes off a piece worth having. */
  function search(sweep: Sweep): Candidate | undefined {
    const { distances } = sweep;
    for (let start = Math.max(sweep.first, sweep.start); ; ) {
      // A fine look first: the smallest scale at which the front ends in a kink is the branch's own.
      let base: Base | undefined;
      let profile: Profile | undefined;
      for (const step of [0.004, 0.008, 0.016]) {
        profile = measureProfile(surface, distances, step * size, isOpen);
        base = findBase(profile, Math.max(2 * step * size, start), LARGEST_SHARE * shellArea);
        if (base) break;
      }
      if (sweep.saddleLevel > start && sweep.saddleLevel < 0.75 * (base?.level ?? Infinity))
        base =
          judgeSaddle(measureProfile(surface, distances, 0.004 * size, isOpen), sweep.saddleLevel) ?? base;
      if (!base || !profile) return undefined;
      const candidate = enclose(sweep, base, profile);
      if (candidate) return candidate;
      start = base.level + base.length / (2 * Math.PI);
    }
  }

  /** What lies before a base; nothing when that is too much, or adds nothing to the sweep's own branch. */
  function enclose(sweep: Sweep, base: Base, profile: Profile): Candidate | undefined {
    const own: number[] = [];
    let area = 0;
    for (let t = 0; t < triangleCount; t++) {
      if (!isOpen[t] || meanDistance(sweep.distances, t) > base.level) continue;
      own.push(t);
      area += surface.triangleAreas[t]!;
    }
    const children = findChildren(own);
    let total = area;
    for (const child of children) total += branches[child]!.area;
    if (total > LARGEST_SHARE * shellArea) return undefined;
    // Half a body with its limbs is no limb.
    if (children.length > 1 && total > 2 * area) return undefined;
    if (sweep.start > 0) {
      if (base.level < sweep.start + base.length / (2 * Math.PI)) return undefined;
      if (!children.some((child) => branches[child]!.tip === sweep.tip)) return undefined;
      // A limb goes on beyond a bend only as a long tube that does not get thinner.
      if (children.length === 1) {
        const inner = branches[children[0]!]!.base;
        if (!isTube(profile, sweep.start, base.level) || base.length < 0.95 * inner.length) return undefined;
        if (base.level - inner.level < (LEAST_STRETCH * inner.length) / (2 * Math.PI)) return undefined;
      }
    }
    // Seen from a bend or a heel the front runs askew: the limb's own end must lead.
    if (sweep.persistence < 0.5 * highest(own, children) || base.level > LEAST_SLOPE * sweep.persistence) return undefined;
    if (!holdsSources(sweep, own, children)) return undefined;
    const isPocket = enclosedVolume(surface, own) < 0;
    if (isPocket && sweep.start > 0) return undefined;
    const absorbs = sweep.start > 0 && children.length === 1;
    return { sweep, base, profile, triangles: own, absorbs, isPocket, area: total };
  }

  /** Whether the ground a sweep started from lies within a piece and its children. */
  function holdsSources(sweep: Sweep, own: readonly number[], children: readonly number[]): boolean {
    const isOwn = new Uint8Array(vertexCount);
    for (const t of own) for (let k = 0; k < 3; k++) isOwn[triangles[3 * t + k]!] = 1;
    return sweep.sources.every((v) => isOwn[v] || children.includes(vertexBranch(v)));
  }

  /** Greatest persistence among the tips in a piece and its children. */
  function highest(own: readonly number[], children: readonly number[]): number {
    const isInside = new Uint8Array(vertexCount);
    const mark = (list: ArrayLike<number>): void => {
      for (let i = 0; i < list.length; i++)
        for (let k = 0; k < 3; k++) isInside[triangles[3 * list[i]! + k]!] = 1;
    };
    const markBranch = (b: number): void => {
      mark(branches[b]!.triangles);
      for (const child of branches[b]!.children) markBranch(child);
    };
    mark(own);
    for (const child of children) markBranch(child);
    let most = 0;
    for (const sweep of sweeps) if (isInside[sweep.tip]) most = Math.max(most, sweep.persistence);
    return most;
  }

  /** Branches taken before whose rim is surrounded by the given triangles. */
  function findChildren(own: readonly number[]): number[] {
    const isOwn = new Uint8Array(triangleCount);
    for (const t of own) isOwn[t] = 1;
    const inside = new Float64Array(branches.length);
    const outside = new Float64Array(branches.length);
    for (let t = 0; t < triangleCount; t++) {
      if (!isOpen[t]) continue;
      for (let k = 0; k < 3; k++) {
        const b = vertexBranch(triangles[3 * t + k]!);
        if (b >= 0) (isOwn[t] ? inside : outside)[b]!++;
      }
    }
    return branches.flatMap((_, b) => (inside[b]! > 4 * outside[b]! ? [b] : []));
  }

  /** The outermost branch at a vertex, -1 for none. */
  function vertexBranch(v: number): number {
    for (let i = surface.triangleOffsets[v]!; i < surface.triangleOffsets[v + 1]!; i++) {
      let b = triangleBranches[surface.triangleList[i]!]!;
      if (b < 0) continue;
      while (branches[b]!.parent >= 0) b = branches[b]!.parent;
      return b;
    }
    return -1;
  }

  /** Whether a good part of a candidate has been taken since it was found. */
  function overlap(candidate: Candidate, isTaken: Uint8Array): boolean {
    let taken = 0;
    let all = 0;
    for (const t of candidate.triangles) {
      all += surface.triangleAreas[t]!;
      if (isTaken[t]) taken += surface.triangleAreas[t]!;
    }
    return taken > 0.1 * all;
  }

  function meanDistance(distances: Float64Array, t: number): number {
    return (
      (distances[triangles[3 * t]!]! +
        distances[triangles[3 * t + 1]!]! +
        distances[triangles[3 * t + 2]!]!) /
      3
    );
  }

  function add(candidate: Candidate): void {
    const id = branches.length;
    const found = findChildren(candidate.triangles);
    let children = found;
    const own = [...candidate.triangles];
    let area = 0;
    for (const t of own) area += surface.triangleAreas[t]!;
    for (const child of children) area += branches[child]!.area;
    const bends: number[] = [];
    if (candidate.absorbs && found.length === 1) {
      const outer = branches[found[0]!]!;
      own.push(...outer.triangles);
      children = outer.children;
      bends.push(...outer.bends, outer.base.level);
      isAbsorbed[found[0]!] = 1;
    }
    const isInside = new Uint8Array(vertexCount);
    for (const t of own) {
      isOpen[t] = 0;
      triangleBranches[t] = id;
      for (let k = 0; k < 3; k++) isInside[triangles[3 * t + k]!] = 1;
    }
    for (const child of children) branches[child]!.parent = id;
    const isInChild = (v: number): boolean => {
      const b = vertexBranch(v);
      return b === id || children.includes(b);
    };
    branches.push({
      tip: candidate.sweep.tip,
      base: candidate.base,
      distances: candidate.sweep.distances,
      triangles: Int32Array.from(own),
      field: NO_FIELD,
      parent: -1,
      children,
      bends,
      isPocket: candidate.isPocket,
      area,
    });
    for (const sweep of sweeps)
      if (sweep.sources.every((v) => isInside[v] || isInChild(v))) sweep.isAlive = false;
    candidate.sweep.isAlive = !candidate.isPocket;
    candidate.sweep.start = candidate.base.level;
  }
}

/** Whether the level lines between two levels keep to the girth of a limb. */
function isTube(profile: Profile, from: number, to: number): boolean {
  const { lengths, step } = profile;
  const first = Math.ceil(from / step);
  const last = Math.min(lengths.length - 1, Math.floor(to / step));
  let least = Infinity;
  let most = 0;
  for (let i = first; i <= last; i++) most = Math.max(most, lengths[i]!);
  for (let i = first + ((last - first) >> 1); i <= last; i++) least = Math.min(least, lengths[i]!);
  return most < 2.2 * least;
}

/** Drops branches that have become part of a longer one. */
function compact(branches: readonly Branch[], isAbsorbed: ArrayLike<number | undefined>, triangleBranches: Int32Array): BranchTree {
  const names = new Int32Array(branches.length).fill(-1);
  let count = 0;
  for (let b = 0; b < branches.length; b++) if (!isAbsorbed[b]) names[b] = count++;
  return {
    branches: branches.flatMap((branch, b) =>
      isAbsorbed[b]
        ? []
        : [
            {
              ...branch,
              parent: branch.parent < 0 ? -1 : names[branch.parent]!,
              children: branch.children.map((child) => names[child]!),
            },
          ],
    ),
    triangleBranches: triangleBranches.map((b) => (b < 0 ? -1 : names[b]!)),
  };
}

function share(surface: TriangleSurface, a: readonly number[], b: readonly number[]): number {
  const inA = new Set(a);
  let area = 0;
  for (const t of b) if (inA.has(t)) area += surface.triangleAreas[t]!;
  return area;
}

/** Six times the volume between a piece of surface and its rim's centroid: negative where the piece is hollow seen from outside. */
function enclosedVolume(surface: TriangleSurface, piece: readonly number[]): number {
  const { positions, triangles } = surface;
  // The rim's centroid closes the piece with a fan, whose triangles then have no volume.
  const counts = new Map<number, number>();
  const { vertexCount } = surface;
  for (const t of piece)
    for (let k = 0; k < 3; k++) {
      const a = triangles[3 * t + k]!;
      const b = triangles[3 * t + ((k + 1) % 3)]!;
      const key = Math.min(a, b) * vertexCount + Math.max(a, b);
      counts.set(key, (counts.get(key) ?? 0) + 1);
    }
  const centre: [number, number, number] = [0, 0, 0];
  let rim = 0;
  for (const [key, count] of counts) {
    if (count !== 1) continue;
    for (const v of [Math.floor(key / vertexCount), key % vertexCount]) {
      rim++;
      for (let k = 0; k < 3; k++) centre[k]! += positions[3 * v + k]!;
    }
  }
  if (rim === 0) return 0;
  const corner = new Float64Array(9);
  let volume = 0;
  for (const t of piece) {
    for (let i = 0; i < 3; i++)
      for (let k = 0; k < 3; k++)
        corner[3 * i + k] = positions[3 * triangles[3 * t + i]! + k]! - centre[k]! / rim;
    volume +=
      corner[0]! * (corner[4]! * corner[8]! - corner[5]! * corner[7]!) +
      corner[1]! * (corner[5]! * corner[6]! - corner[3]! * corner[8]!) +
      corner[2]! * (corner[3]! * corner[7]! - corner[4]! * corner[6]!);
  }
  return volume;
}

/** Height above the branch's base level, made certain away from the rim. */
function levelField(surface: TriangleSurface, tree: BranchTree, id: number): Float64Array {
  const branch = tree.branches[id]!;
  const isWithin = new Uint8Array(tree.branches.length);
  const mark = (b: number): void => {
    isWithin[b] = 1;
    for (const child of tree.branches[b]!.children) mark(child);
  };
  mark(id);
  const field = new Float64Array(surface.vertexCount);
  const clip = branch.base.length / (2 * Math.PI);
  for (let v = 0; v < surface.vertexCount; v++) {
    let inside = 0;
    let outside = 0;
    for (let i = surface.triangleOffsets[v]!; i < surface.triangleOffsets[v + 1]!; i++) {
      const b = tree.triangleBranches[surface.triangleList[i]!]!;
      if (b >= 0 && isWithin[b]) inside++;
      else outside++;
    }
    const height = Math.min(clip, Math.max(-clip, branch.base.level - branch.distances[v]!));
    field[v] =
      inside === 0
        ? -Math.max(1e-9 * clip, Math.abs(height))
        : outside === 0
          ? Math.max(1e-9 * clip, Math.abs(height))
          : height;
  }
  return field;
}

/** Gives a branch a new outline: open triangles inside its field join it, its own outside leave it. */
export function outlineBranch(surface: TriangleSurface, tree: BranchTree, id: number, field: Float64Array): void {
  const { triangles, triangleCount } = surface;
  const branch = tree.branches[id]!;
  branch.field = field;
  const own: number[] = [];
  for (let t = 0; t < triangleCount; t++) {
    const b = tree.triangleBranches[t]!;
    if (b !== id && b !== branch.parent) continue;
    const isInside = field[triangles[3 * t]!]! + field[triangles[3 * t + 1]!]! + field[triangles[3 * t + 2]!]! > 0;
    tree.triangleBranches[t] = isInside ? id : branch.parent;
    if (isInside) own.push(t);
  }
  branch.triangles = Int32Array.from(own);
}
