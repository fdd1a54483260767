import type { Vec3 } from '../math/index.js';
import type { Branch, BranchTree } from './branch-tree.js';
import { markDescendants } from './branch-tree.js';
import type { Marcher } from './march.js';
import type { TriangleSurface } from './triangle-surface.js';

/** A branch seen from its base: distances from the rim, girth and centre of each level. */
export interface LimbProfile {
  /** Distance from the base's rim inside the branch (children included), Infinity outside. */
  readonly distances: Float64Array;
  readonly step: number;
  /** Girth at level (i + ½) · step over the branch without its children. */
  readonly girths: Float64Array;
  /** Centre of the level line (children included), 3 per level. */
  readonly centres: Float64Array;
  /** Greatest distance reached. */
  readonly reach: number;
  /** The vertex there. */
  readonly tip: number;
}

/** Follows a branch from its base to its end. */
export function followBranch(
  surface: TriangleSurface,
  marcher: Marcher,
  tree: BranchTree,
  id: number,
): LimbProfile {
  const { vertexCount, triangles, positions, triangleCount } = surface;
  const isWithin = markDescendants(tree.branches, id);
  const isOpen = new Uint8Array(vertexCount);
  const isOutside = new Uint8Array(vertexCount);
  for (let t = 0; t < triangleCount; t++) {
    const b = tree.triangleBranches[t]!;
    const target = b >= 0 && isWithin[b] ? isOpen : isOutside;
    for (let k = 0; k < 3; k++) target[triangles[3 * t + k]!] = 1;
  }
  const rim: number[] = [];
  for (let v = 0; v < vertexCount; v++) if (isOpen[v] && isOutside[v]) rim.push(v);
  const branch = tree.branches[id]!;
  const offsets = smoothRim(surface, rim, branch);
  const distances = marcher.run(rim, { isOpen, offsets });
  let reach = 0;
  let tip = branch.tip;
  for (let v = 0; v < vertexCount; v++) {
    if (!isOpen[v] || !(distances[v]! < Infinity)) continue;
    if (distances[v]! > reach) {
      reach = distances[v]!;
      tip = v;
    }
  }
  const count = Math.min(400, Math.max(24, Math.round((10 * reach * 2 * Math.PI) / branch.base.length)));
  const step = reach / count || 1;
  const girths = new Float64Array(count);
  const centres = new Float64Array(3 * count);
  const weights = new Float64Array(count);
  for (let t = 0; t < triangleCount; t++) {
    const b = tree.triangleBranches[t]!;
    if (b < 0 || !isWithin[b]) continue;
    crossLevels(distances, positions, triangles, t, step, count, (i, length, middle) => {
      if (b === id) girths[i]! += length;
      weights[i]! += length;
      for (let k = 0; k < 3; k++) centres[3 * i + k]! += length * middle[k]!;
    });
  }
  for (let i = 0; i < count; i++) for (let k = 0; k < 3; k++) centres[3 * i + k]! /= weights[i]! || 1;
  return { distances, step, girths, centres, reach, tip };
}

/** The rim of triangles is jagged; starting each vertex at its own height above the base straightens it. */
function smoothRim(surface: TriangleSurface, rim: readonly number[], branch: Branch): number[] {
  const { positions, neighbourOffsets, neighbours } = surface;
  const heights = rim.map((v) => {
    // No more than the edges can account for: where the rim was stopped by something else the field says little.
    let span = 0;
    for (let i = neighbourOffsets[v]!; i < neighbourOffsets[v + 1]!; i++) {
      let d = 0;
      for (let k = 0; k < 3; k++) d += (positions[3 * v + k]! - positions[3 * neighbours[i]! + k]!) ** 2;
      span += Math.sqrt(d);
    }
    span /= Math.max(1, neighbourOffsets[v + 1]! - neighbourOffsets[v]!);
    return Math.min(span, Math.max(-span, branch.field[v]!));
  });
  const lowest = Math.min(0, ...heights);
  return heights.map((h) => Math.max(0, h - lowest));
}

/** Calls back for each level line (i + ½) · step that crosses the triangle, with the piece's length and middle. */
function crossLevels(
  field: Float64Array,
  positions: Float64Array,
  triangles: Int32Array,
  t: number,
  step: number,
  count: number,
  visit: (level: number, length: number, middle: Vec3) => void,
): void {
  let a = triangles[3 * t]!;
  let b = triangles[3 * t + 1]!;
  let c = triangles[3 * t + 2]!;
  if (field[a]! > field[b]!) [a, b] = [b, a];
  if (field[b]! > field[c]!) [b, c] = [c, b];
  if (field[a]! > field[b]!) [a, b] = [b, a];
  const low = field[a]!;
  const middle = field[b]!;
  const high = field[c]!;
  if (!(high < Infinity) || high <= low) return;
  const last = Math.min(count - 1, Math.floor(high / step - 0.5));
  for (let i = Math.max(0, Math.ceil(low / step - 0.5)); i <= last; i++) {
    const level = (i + 0.5) * step;
    const s = (level - low) / (high - low);
    const [from, to, q] =
      level < middle || high === middle
        ? [a, b, middle > low ? (level - low) / (middle - low) : 0]
        : [b, c, (level - middle) / (high - middle)];
    let span = 0;
    const centre: [number, number, number] = [0, 0, 0];
    for (let k = 0; k < 3; k++) {
      const x = positions[3 * a + k]! * (1 - s) + positions[3 * c + k]! * s;
      const y = positions[3 * from + k]! * (1 - q) + positions[3 * to + k]! * q;
      span += (x - y) ** 2;
      centre[k] = (x + y) / 2;
    }
    visit(i, Math.sqrt(span), centre);
  }
}

/** The narrowest place before the branch widens again, as with a wrist before the hand. */
export interface Waist {
  readonly level: number;
  readonly girth: number;
  /** Widest girth beyond over the waist's: 1 is no waist at all. */
  readonly depth: number;
}

/** Wrists and ankles lie about this share of the way from the base, give or take; common practice, no source. */
const USUAL_END = 0.75;
const USUAL_SPREAD = 0.17;

/**
 * Finds the waist between two shares of a limb's reach.
 *
 * @returns undefined when the limb only tapers
 */
export function findWaist(profile: LimbProfile, from: number, to: number): Waist | undefined {
  const { girths, step, reach } = profile;
  const count = girths.length;
  const smooth = smoothed(girths);
  const first = Math.max(1, Math.floor((from * reach) / step));
  const last = Math.min(count - 2, Math.ceil((to * reach) / step));
  const widestBefore = new Float64Array(count);
  const widestAfter = new Float64Array(count + 1);
  for (let i = 1; i < count; i++) widestBefore[i] = Math.max(widestBefore[i - 1]!, smooth[i - 1]!);
  for (let i = count - 1; i >= 0; i--) widestAfter[i] = Math.max(widestAfter[i + 1]!, smooth[i]!);
  let best: Waist | undefined;
  let most = 0;
  for (let i = first; i <= last; i++) {
    if (!(smooth[i]! > 0)) continue;
    const depth = Math.min(widestBefore[i]!, widestAfter[i + 1]!) / smooth[i]!;
    const off = ((i + 0.5) * step) / reach - USUAL_END;
    const worth = (depth - 1) * Math.exp(-0.5 * (off / USUAL_SPREAD) ** 2);
    if (depth > 1.04 && worth > most * 1.0001) {
      most = worth;
      best = { level: (i + 0.5) * step, girth: smooth[i]!, depth };
    }
  }
  if (!best) return undefined;
  // A long narrow stretch ends at the joint: go on while it is hardly wider.
  let level = best.level;
  for (let i = Math.round(best.level / step + 0.5); i <= last && smooth[i]! <= 1.03 * best.girth; i++)
    level = (i + 0.5) * step;
  return { ...best, level };
}

export function smoothed(values: Float64Array): Float64Array {
  const out = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) {
    let sum = 0;
    let weight = 0;
    for (let j = Math.max(0, i - 1); j <= Math.min(values.length - 1, i + 1); j++) {
      const w = j === i ? 2 : 1;
      sum += w * values[j]!;
      weight += w;
    }
    out[i] = sum / weight;
  }
  return out;
}

/** Elbow and knee lie about half way between a limb's base and its wrist or ankle; from memory of body proportions. */
const USUAL_JOINT = 0.5;
const JOINT_SPREAD = 0.11;

/**
 * The level of the elbow or knee between the base and `to`: where the centre line bends most, near the middle;
 * on a straight limb the middle.
 */
export function findJoint(profile: LimbProfile, to: number): number {
  const { centres, step, girths } = profile;
  const span = Math.max(2, Math.round((0.2 * to) / step));
  const last = Math.min(girths.length - 1, Math.floor(to / step));
  let best = USUAL_JOINT * to;
  let most = LEAST_BEND;
  for (let i = span; i + span <= last; i++) {
    let dot = 0;
    let before = 0;
    let after = 0;
    for (let k = 0; k < 3; k++) {
      const a = centres[3 * i + k]! - centres[3 * (i - span) + k]!;
      const b = centres[3 * (i + span) + k]! - centres[3 * i + k]!;
      dot += a * b;
      before += a * a;
      after += b * b;
    }
    const bend = Math.acos(Math.max(-1, Math.min(1, dot / Math.sqrt(before * after || 1))));
    const off = ((i + 0.5) * step) / to - USUAL_JOINT;
    const worth = bend * Math.exp(-0.5 * (off / JOINT_SPREAD) ** 2);
    if (worth > most) {
      most = worth;
      best = (i + 0.5) * step;
    }
  }
  return best;
}

/** Radians; a limb bent less than this counts as straight. */
const LEAST_BEND = 0.35;
