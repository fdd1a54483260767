import { appendTo, DisjointSet } from '../structures/index.js';
import type { FlatChartLike } from './flat-chart.js';

/** Share of a tile that charts with their padding are expected to fill. */
export const EXPECTED_FILL = 0.8;

/** Charts that should share a tile: those of one part, and mirror images. Each group is ascending. */
export function groupByPart(charts: readonly FlatChartLike[], members: readonly number[]): number[][] {
  const sets = new DisjointSet(charts.length);
  const isMember = new Set(members);
  const firstOfPart = new Map<string, number>();
  for (const i of members) {
    const { part, mirrorOf } = charts[i]!;
    if (mirrorOf !== undefined && isMember.has(mirrorOf)) sets.union(i, mirrorOf);
    if (part === undefined) continue;
    const first = firstOfPart.get(part);
    if (first === undefined) firstOfPart.set(part, i);
    else sets.union(first, i);
  }
  const groups = new Map<number, number[]>();
  for (const i of members) appendTo(groups, sets.find(i), i);
  return [...groups.values()];
}

/**
 * Spreads groups over at most `tiles` tiles so that their loads are alike: the heaviest group first, onto the
 * lightest tile (longest processing time first, Graham 1969). A group too heavy for its share is split.
 */
export function balanceTiles(
  groups: readonly number[][],
  loads: ArrayLike<number>,
  tiles: number,
): number[][] {
  let total = 0;
  for (const group of groups) total += loadOf(group, loads);
  const units = groups.flatMap((group) =>
    loadOf(group, loads) > (1.2 * total) / tiles ? group.map((i) => [i]) : [group],
  );
  units.sort((a, b) => loadOf(b, loads) - loadOf(a, loads) || a[0]! - b[0]!);
  const result: number[][] = Array.from({ length: tiles }, () => []);
  const filled = new Float64Array(tiles);
  for (const unit of units) {
    let lightest = 0;
    for (let t = 1; t < tiles; t++) if (filled[t]! < filled[lightest]!) lightest = t;
    result[lightest]!.push(...unit);
    filled[lightest]! += loadOf(unit, loads);
  }
  return result.filter((tile) => tile.length > 0).map((tile) => tile.sort((a, b) => a - b));
}

/** Takes groups, the heaviest first, into one tile as long as they are expected to fit; the rest is returned. */
export function takeTile(
  groups: readonly number[][],
  loads: ArrayLike<number>,
): { tile: number[][]; rest: number[][] } {
  const units = groups.flatMap((group) =>
    loadOf(group, loads) > EXPECTED_FILL ? group.map((i) => [i]) : [group],
  );
  units.sort((a, b) => loadOf(b, loads) - loadOf(a, loads) || a[0]! - b[0]!);
  const tile: number[][] = [];
  const rest: number[][] = [];
  let filled = 0;
  for (const unit of units) {
    const load = loadOf(unit, loads);
    if (tile.length === 0 || filled + load <= EXPECTED_FILL) {
      tile.push(unit);
      filled += load;
    } else rest.push(unit);
  }
  return { tile, rest };
}

function loadOf(group: readonly number[], loads: ArrayLike<number>): number {
  let sum = 0;
  for (const i of group) sum += loads[i]!;
  return sum;
}
