import type { Branch, BranchTree } from './branch-tree.js';
import { levelField, listGrowths } from './branch-tree.js';
import { enclosedVolume } from './enclosed-volume.js';
import type { Base } from './find-base.js';
import { findBase, judgeSaddle } from './find-base.js';
import type { Profile } from './profile.js';
import { halveProfile, OpenProfile } from './profile.js';
import type { Sweep } from './sweeps.js';
import type { TriangleSurface } from './triangle-surface.js';

/** A piece that may be taken off as a branch. */
export interface Candidate {
  readonly sweep: Sweep;
  readonly base: Base;
  readonly profile: Profile;
  readonly triangles: readonly number[];
  /** The only child is the outer stretch of the same limb, beyond a bend. */
  readonly absorbs: boolean;
  readonly isPocket: boolean;
  /** With the children's. */
  readonly area: number;
}

/** Spacing of a profile's levels, as a share of the square root of the shell's area; doubled twice where it is too jagged. */
const FINEST_STEP = 0.004;
/** A branch may not take more than this share of the shell. */
const LARGEST_SHARE = 0.45;
/** Nor less than this. */
const SMALLEST_SHARE = 1e-4;
/** A branch may be at most this many times longer than its hill in the mean distance is high. */
const LEAST_SLOPE = 6;
/** A limb goes on beyond a bend for at least so many radii. */
const LEAST_STRETCH = 2.5;
/** One with digits does not flare more at its end than a thigh does: beyond a shoulder comes half the chest. */
const MOST_FLARE = 0.3;
/** A limb on a piece has at least this share of the piece. */
const LIMB_SHARE = 0.07;
/** Most difference between the areas of two limbs, either of which may end at a bend. */
const LIMB_RANGE = 2;
/** Most variation of the girth of one limb. */
const TUBE_RANGE = 2.2;

const NO_FIELD = new Float64Array(0);

/** What has been taken off a shell so far, and what could be taken next. */
export class BranchSearch {
  readonly #surface: TriangleSurface;
  readonly #sweeps: readonly Sweep[];
  /** Of every sweep, over what is still open. */
  readonly #profiles: Map<Sweep, OpenProfile>;
  readonly #isOpen: Uint8Array;
  readonly #triangleBranches: Int32Array;
  readonly #branches: Branch[] = [];
  /** 1 for branches that have become the outer stretch of a longer one. */
  readonly #isAbsorbed: (1 | undefined)[] = [];
  /** Triangles round each branch that touch it. */
  readonly #rims: number[][] = [];

  constructor(surface: TriangleSurface, sweeps: readonly Sweep[]) {
    this.#surface = surface;
    this.#sweeps = sweeps;
    const step = FINEST_STEP * Math.sqrt(surface.area);
    this.#profiles = new Map(sweeps.map((sweep) => [sweep, new OpenProfile(surface, sweep.distances, step)]));
    this.#isOpen = new Uint8Array(surface.triangleCount).fill(1);
    this.#triangleBranches = new Int32Array(surface.triangleCount).fill(-1);
  }

  /** The next base along a sweep that takes off a piece worth having. */
  search(sweep: Sweep): Candidate | undefined {
    const fine = this.#profiles.get(sweep)!.read();
    const half = halveProfile(fine);
    // A fine look first: the smallest scale at which the front ends in a kink is the branch's own.
    const profiles = [fine, half, halveProfile(half)];
    for (let start = Math.max(sweep.first, sweep.start); ; ) {
      let base: Base | undefined;
      let profile = fine;
      for (profile of profiles) {
        base = findBase(profile, Math.max(2 * profile.step, start), LARGEST_SHARE * this.#surface.area);
        if (base) break;
      }
      if (sweep.saddleLevel > start && sweep.saddleLevel < 0.75 * (base?.level ?? Infinity))
        base = judgeSaddle(fine, sweep.saddleLevel) ?? base;
      if (!base) return undefined;
      const candidate = this.enclose(sweep, base, profile);
      if (candidate) return candidate;
      start = base.level + base.length / (2 * Math.PI);
    }
  }

  /** What lies before a base; nothing when that is too much, or adds nothing to the sweep's own branch. */
  enclose(sweep: Sweep, base: Base, profile: Profile): Candidate | undefined {
    const { triangleCount, triangles, triangleAreas, area: shellArea } = this.#surface;
    const { distances } = sweep;
    const own: number[] = [];
    let area = 0;
    for (let t = 0; t < triangleCount; t++) {
      if (!this.#isOpen[t]) continue;
      const sum =
        distances[triangles[3 * t]!]! + distances[triangles[3 * t + 1]!]! + distances[triangles[3 * t + 2]!]!;
      if (sum > 3 * base.level) continue;
      own.push(t);
      area += triangleAreas[t]!;
    }
    if (area < SMALLEST_SHARE * shellArea) return undefined;
    const children = this.#findChildren(own);
    let total = area;
    for (const child of children) total += this.#branches[child]!.area;
    if (total > LARGEST_SHARE * shellArea) return undefined;
    // Half a body with its limbs is no limb.
    if (children.length > 1 && (total > 2 * area || this.#haveLimbs(children, total))) return undefined;
    if (sweep.start > 0 && !this.#isContinued(sweep, base, profile, children)) return undefined;
    // Seen from a bend or a heel the front runs askew: the limb's own end must lead.
    if (sweep.persistence < 0.5 * this.#highest(own, children)) return undefined;
    if (base.level > LEAST_SLOPE * sweep.persistence) return undefined;
    if (!this.#holdsSources(sweep, own, children)) return undefined;
    const isPocket = enclosedVolume(this.#surface, own) < 0;
    if (isPocket && sweep.start > 0) return undefined;
    const absorbs = sweep.start > 0 && children.length === 1;
    return { sweep, base, profile, triangles: own, absorbs, isPocket, area: total };
  }

  /** Takes a piece off. */
  add(candidate: Candidate): void {
    const { sweep, base, isPocket } = candidate;
    const { vertexCount, triangles, triangleAreas } = this.#surface;
    const id = this.#branches.length;
    let children = this.#findChildren(candidate.triangles);
    const own = [...candidate.triangles];
    let area = 0;
    for (const t of own) area += triangleAreas[t]!;
    for (const child of children) area += this.#branches[child]!.area;
    if (candidate.absorbs && children.length === 1) {
      const outer = this.#branches[children[0]!]!;
      for (const t of outer.triangles) own.push(t);
      this.#isAbsorbed[children[0]!] = 1;
      children = outer.children;
    }
    const isInside = new Uint8Array(vertexCount);
    for (const t of own) {
      this.#isOpen[t] = 0;
      this.#triangleBranches[t] = id;
      for (let k = 0; k < 3; k++) isInside[triangles[3 * t + k]!] = 1;
    }
    this.#rims.push(this.#findRim(id, isInside));
    for (const child of children) this.#branches[child]!.parent = id;
    this.#branches.push({
      tip: sweep.tip,
      base,
      distances: sweep.distances,
      triangles: Int32Array.from(own),
      field: NO_FIELD,
      parent: -1,
      children,
      isPocket,
      area,
    });
    for (const other of this.#sweeps)
      if (other.sources.every((v) => isInside[v] || this.#vertexBranch(v) === id)) other.isAlive = false;
    sweep.isAlive = !isPocket;
    sweep.start = base.level;
    for (const [other, profile] of this.#profiles) if (other.isAlive) profile.remove(candidate.triangles);
  }

  /** The tree of what was taken off. */
  finish(): BranchTree {
    const names = new Int32Array(this.#branches.length).fill(-1);
    let count = 0;
    this.#branches.forEach((_, b) => {
      if (!this.#isAbsorbed[b]) names[b] = count++;
    });
    const branches = this.#branches.flatMap((branch, b) =>
      this.#isAbsorbed[b]
        ? []
        : [
            {
              ...branch,
              parent: branch.parent < 0 ? -1 : names[branch.parent]!,
              children: branch.children.map((child) => names[child]!),
            },
          ],
    );
    const triangleBranches = this.#triangleBranches.map((b) => (b < 0 ? -1 : names[b]!));
    const tree = { branches, triangleBranches };
    branches.forEach((branch, b) => {
      branch.field = levelField(this.#surface, tree, b);
    });
    return tree;
  }

  /** Whether a further base of a sweep that has its own branch already makes a longer limb of it, or a limb with digits. */
  #isContinued(sweep: Sweep, base: Base, profile: Profile, children: readonly number[]): boolean {
    if (base.level < sweep.start + base.length / (2 * Math.PI)) return false;
    if (!children.some((child) => this.#branches[child]!.tip === sweep.tip)) return false;
    if (children.length > 1) return true;
    // A limb goes on beyond a bend only as a long tube that does not get thinner.
    const inner = this.#branches[children[0]!]!.base;
    if (base.growthBefore > MOST_FLARE && this.#hasDigits(children[0]!)) return false;
    if (!isTube(profile, sweep.start, base.level) || base.length < 0.95 * inner.length) return false;
    return base.level - inner.level >= (LEAST_STRETCH * inner.length) / (2 * Math.PI);
  }

  #hasDigits(id: number): boolean {
    return listGrowths(this.#branches, id).length > 0;
  }

  /** Whether two of the children of a piece are large, of like size, and have digits. */
  #haveLimbs(ids: readonly number[], total: number): boolean {
    const areas = ids
      .filter((id) => this.#hasDigits(id) && this.#branches[id]!.area > LIMB_SHARE * total)
      .map((id) => this.#branches[id]!.area)
      .sort((a, b) => a - b);
    return areas.some((area, i) => i > 0 && area < LIMB_RANGE * areas[i - 1]!);
  }

  /** Whether the ground a sweep started from lies within a piece and its children. */
  #holdsSources(sweep: Sweep, own: readonly number[], children: readonly number[]): boolean {
    const isOwn = this.#markVertices(own);
    return sweep.sources.every((v) => isOwn[v] || children.includes(this.#vertexBranch(v)));
  }

  /** Greatest persistence among the tips in a piece and its children. */
  #highest(own: readonly number[], children: readonly number[]): number {
    const isOwn = this.#markVertices(own);
    let most = 0;
    for (const { tip, persistence } of this.#sweeps)
      if (isOwn[tip] || children.includes(this.#vertexBranch(tip))) most = Math.max(most, persistence);
    return most;
  }

  #markVertices(list: readonly number[]): Uint8Array {
    const { vertexCount, triangles } = this.#surface;
    const isMarked = new Uint8Array(vertexCount);
    for (const t of list) for (let k = 0; k < 3; k++) isMarked[triangles[3 * t + k]!] = 1;
    return isMarked;
  }

  /** Branches taken before whose rim is surrounded by the given triangles. */
  #findChildren(own: readonly number[]): number[] {
    const isOwn = new Uint8Array(this.#surface.triangleCount);
    for (const t of own) isOwn[t] = 1;
    return this.#branches.flatMap((branch, b) => {
      if (branch.parent >= 0 || this.#isAbsorbed[b]) return [];
      let inside = 0;
      let outside = 0;
      for (const t of this.#rims[b]!) {
        if (isOwn[t]) inside++;
        else if (this.#isOpen[t]) outside++;
      }
      return inside > 4 * outside ? [b] : [];
    });
  }

  #findRim(id: number, isInside: Uint8Array): number[] {
    const { triangleCount, triangles } = this.#surface;
    const rim: number[] = [];
    for (let t = 0; t < triangleCount; t++) {
      if (this.#triangleBranches[t] === id) continue;
      if (isInside[triangles[3 * t]!] || isInside[triangles[3 * t + 1]!] || isInside[triangles[3 * t + 2]!])
        rim.push(t);
    }
    return rim;
  }

  /** The outermost branch at a vertex, -1 for none. */
  #vertexBranch(v: number): number {
    const { triangleOffsets, triangleList } = this.#surface;
    for (let i = triangleOffsets[v]!; i < triangleOffsets[v + 1]!; i++) {
      let b = this.#triangleBranches[triangleList[i]!]!;
      if (b < 0) continue;
      while (this.#branches[b]!.parent >= 0) b = this.#branches[b]!.parent;
      return b;
    }
    return -1;
  }
}

/** Whether the level lines between two levels keep to the girth of a limb. */
function isTube({ lengths, step }: Profile, from: number, to: number): boolean {
  const first = Math.ceil(from / step);
  const last = Math.min(lengths.length - 1, Math.floor(to / step));
  let least = Infinity;
  let most = 0;
  for (let i = first; i <= last; i++) most = Math.max(most, lengths[i]!);
  for (let i = first + ((last - first) >> 1); i <= last; i++) least = Math.min(least, lengths[i]!);
  return most < TUBE_RANGE * least;
}
