import type { Tip } from './find-tips.js';
import { findTips } from './find-tips.js';
import type { Marcher } from './march.js';
import type { TriangleSurface } from './triangle-surface.js';

/** Distances spreading from a tip, or from the ground several tips stand on. */
export interface Sweep {
  /** The tip, or the highest of several. */
  readonly tip: number;
  readonly tipCount: number;
  readonly sources: readonly number[];
  readonly persistence: number;
  /** Distance of the saddle where a lone tip meets a higher one; Infinity otherwise. */
  readonly saddleLevel: number;
  readonly distances: Float64Array;
  /** Levels below this lie among the sources. */
  readonly first: number;
  /** Bases nearer than this are known already. */
  start: number;
  isAlive: boolean;
}

/** Hills lower than this share of the square root of the shell's area are noise. */
const LEAST_PERSISTENCE = 0.003;
/** Common ground that meets the next hill sooner than this (same share) is not swept from. */
const LEAST_STAND = 0.02;

/** A sweep from every tip of the mean distance, and one from the common ground of every lasting group of tips. */
export function prepareSweeps(
  surface: TriangleSurface,
  marcher: Marcher,
  field: Float64Array,
  size: number,
): Sweep[] {
  const tips = findTips(surface, field, LEAST_PERSISTENCE * size);
  const sweeps: Sweep[] = tips.map((tip) => {
    const distances = marcher.run([tip.vertex]);
    return {
      tip: tip.vertex,
      tipCount: 1,
      sources: [tip.vertex],
      persistence: tip.persistence,
      saddleLevel: tip.saddle < 0 ? Infinity : distances[tip.saddle]!,
      distances,
      first: 0,
      start: 0,
      isAlive: true,
    };
  });
  for (const { elder, saddle, tipCount } of findGroups(tips, field, LEAST_STAND * size)) {
    const ground = field[saddle]!;
    const top = tips[elder]!.vertex;
    const lead = field[top]! - ground;
    const sources = floodAbove(surface, field, saddle, ground);
    // The mean distance rises about as fast as one walks, so heights stand in for distances from the tips.
    const offsets = sources.map((v) => Math.max(0, lead - (field[v]! - ground)));
    sweeps.push({
      tip: top,
      tipCount,
      sources,
      persistence: tips[elder]!.persistence,
      saddleLevel: Infinity,
      distances: marcher.run(sources, { offsets }),
      first: lead,
      start: 0,
      isAlive: true,
    });
  }
  return sweeps;
}

interface Group {
  elder: number;
  saddle: number;
  tipCount: number;
}

/** Merged hills that stand for a while before they meet the next, highest ground first. */
function findGroups(tips: readonly Tip[], field: Float64Array, leastStand: number): Group[] {
  const merges = tips
    .map((tip, i) => ({ younger: i, elder: tip.elder, saddle: tip.saddle }))
    .filter((merge) => merge.saddle >= 0 && merge.elder >= 0)
    .sort((a, b) => field[b.saddle]! - field[a.saddle]! || a.saddle - b.saddle || a.younger - b.younger);
  const counts = tips.map(() => 1);
  const groups: Group[] = [];
  merges.forEach((merge, i) => {
    counts[merge.elder]! += counts[merge.younger]!;
    const next = merges.slice(i + 1).find((m) => m.elder === merge.elder || m.younger === merge.elder);
    const stand = field[merge.saddle]! - (next ? field[next.saddle]! : -Infinity);
    if (next && stand >= leastStand)
      groups.push({ elder: merge.elder, saddle: merge.saddle, tipCount: counts[merge.elder]! });
  });
  return groups;
}

/** The vertices at least as high as the ground that are connected to the saddle. */
function floodAbove(surface: TriangleSurface, field: Float64Array, saddle: number, ground: number): number[] {
  const { neighbourOffsets, neighbours } = surface;
  const isSeen = new Uint8Array(surface.vertexCount);
  isSeen[saddle] = 1;
  const out = [saddle];
  for (let i = 0; i < out.length; i++)
    for (let j = neighbourOffsets[out[i]!]!; j < neighbourOffsets[out[i]! + 1]!; j++) {
      const w = neighbours[j]!;
      if (isSeen[w] || field[w]! < ground) continue;
      isSeen[w] = 1;
      out.push(w);
    }
  return out.sort((a, b) => a - b);
}
