import type { Vec3 } from '../math/index.js';
import { scale } from '../math/index.js';
import type { Branch, BranchTree } from './branch-tree.js';
import { enclosedVolume } from './enclosed-volume.js';
import type { TriangleSurface } from './triangle-surface.js';

/** Where a branch is: centres of its base and of its own surface, and its tip. */
export interface Shape {
  readonly base: Vec3;
  readonly tip: Vec3;
  readonly centre: Vec3;
  /**
   * 4π · volume · length / area² of its own surface: 1 for a straight or bent rod, near 0 for a blade. It is the
   * isoperimetric quotient of the cross-section, were it the same all along.
   */
  readonly roundness: number;
}

/** Measures a branch without its children. */
export function measureShape(surface: TriangleSurface, tree: BranchTree, id: number): Shape {
  const { positions, triangles } = surface;
  const branch = tree.branches[id]!;
  const base: [number, number, number] = [0, 0, 0];
  const centre: [number, number, number] = [0, 0, 0];
  let rim = 0;
  let area = 0;
  for (const t of branch.triangles) {
    const size = surface.triangleAreas[t]!;
    area += size;
    let level = 0;
    for (let k = 0; k < 3; k++) level += branch.distances[triangles[3 * t + k]!]! / 3;
    const isRim = level > branch.base.level - 0.25 * (branch.base.length / (2 * Math.PI));
    if (isRim) rim += size;
    for (let i = 0; i < 3; i++)
      for (let k = 0; k < 3; k++) {
        const x = positions[3 * triangles[3 * t + i]! + k]! / 3;
        centre[k]! += size * x;
        if (isRim) base[k]! += size * x;
      }
  }
  return {
    base: rim > 0 ? scale(base, 1 / rim) : scale(centre, 1 / (area || 1)),
    centre: scale(centre, 1 / (area || 1)),
    roundness: measureRoundness(surface, branch, area),
    tip: [positions[3 * branch.tip]!, positions[3 * branch.tip + 1]!, positions[3 * branch.tip + 2]!],
  };
}

function measureRoundness(surface: TriangleSurface, { triangles, base }: Branch, area: number): number {
  const volume = Math.abs(enclosedVolume(surface, triangles)) / 6;
  return area > 0 ? (4 * Math.PI * volume * base.level) / (area * area) : 1;
}

/** Area centroid of what belongs to no branch. */
export function coreCentre(surface: TriangleSurface, tree: BranchTree): Vec3 {
  const { positions, triangles, triangleAreas } = surface;
  const sum: [number, number, number] = [0, 0, 0];
  let area = 0;
  for (let t = 0; t < surface.triangleCount; t++) {
    if (tree.triangleBranches[t] !== -1) continue;
    area += triangleAreas[t]!;
    for (let i = 0; i < 3; i++)
      for (let k = 0; k < 3; k++)
        sum[k]! += (triangleAreas[t]! * positions[3 * triangles[3 * t + i]! + k]!) / 3;
  }
  return scale(sum, 1 / (area || 1));
}
