import type { Base } from './find-base.js';
import type { TriangleSurface } from './triangle-surface.js';

/** A piece of a shell that sticks out (or in): everything nearer to its tip than its base. */
export interface Branch {
  readonly tip: number;
  readonly base: Base;
  /** Distance from the tip along the surface. */
  readonly distances: Float64Array;
  /** Triangles of the branch without its children. */
  triangles: Int32Array;
  /** Per vertex, positive inside the branch (with its children); the base is where it is 0. */
  field: Float64Array;
  /** Index of the branch this one grows from, -1 for the core. */
  parent: number;
  /** With the children's. */
  readonly area: number;
  children: number[];
  /** It sticks in, not out: a mouth bag, an eye socket, a nostril. */
  readonly isPocket: boolean;
}

/** The branches of one shell; what is in none of them is the core. */
export interface BranchTree {
  readonly branches: Branch[];
  /** Branch of each triangle, -1 for the core. */
  readonly triangleBranches: Int32Array;
}

/** Marks a branch and all that grows from it: 1 per branch of the tree. */
export function markDescendants(branches: readonly Pick<Branch, 'children'>[], id: number): Uint8Array {
  const isWithin = new Uint8Array(branches.length);
  const mark = (b: number): void => {
    isWithin[b] = 1;
    for (const child of branches[b]!.children) mark(child);
  };
  mark(id);
  return isWithin;
}

/** Height above the branch's base level, made certain away from the rim. */
export function levelField(surface: TriangleSurface, tree: BranchTree, id: number): Float64Array {
  const branch = tree.branches[id]!;
  const isWithin = markDescendants(tree.branches, id);
  const { vertexCount, triangles, triangleCount } = surface;
  const inside = new Uint8Array(vertexCount);
  const outside = new Uint8Array(vertexCount);
  for (let t = 0; t < triangleCount; t++) {
    const b = tree.triangleBranches[t]!;
    const target = b >= 0 && isWithin[b] ? inside : outside;
    for (let k = 0; k < 3; k++) target[triangles[3 * t + k]!] = 1;
  }
  const clip = branch.base.length / (2 * Math.PI);
  const field = new Float64Array(vertexCount);
  for (let v = 0; v < vertexCount; v++) {
    const height = Math.min(clip, Math.max(-clip, branch.base.level - branch.distances[v]!));
    const sure = Math.max(1e-9 * clip, Math.abs(height));
    field[v] = !inside[v] ? -sure : !outside[v] ? sure : height;
  }
  return field;
}

/** Gives a branch a new outline: open triangles inside its field join it, its own outside leave it. */
export function outlineBranch(
  surface: TriangleSurface,
  tree: BranchTree,
  id: number,
  field: Float64Array,
): void {
  const { triangles, triangleCount } = surface;
  const branch = tree.branches[id]!;
  branch.field = field;
  const own: number[] = [];
  for (let t = 0; t < triangleCount; t++) {
    const b = tree.triangleBranches[t]!;
    if (b !== id && b !== branch.parent) continue;
    const isInside =
      field[triangles[3 * t]!]! + field[triangles[3 * t + 1]!]! + field[triangles[3 * t + 2]!]! > 0;
    tree.triangleBranches[t] = isInside ? id : branch.parent;
    if (isInside) own.push(t);
  }
  branch.triangles = Int32Array.from(own);
}

/** Children of a branch that are no pockets. */
export const listGrowths = (branches: readonly Branch[], id: number): number[] =>
  branches[id]!.children.filter((child) => !branches[child]!.isPocket);

/** Length over the radius of the base. */
export const slenderness = ({ base }: Branch): number => base.level / (base.length / (2 * Math.PI));
