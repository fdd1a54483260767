import { InvalidOptionError } from '../errors.js';
import type { FaceId, HalfEdgeId, Mesh } from '../mesh/index.js';
import { computeMinCut } from './min-cut.js';

export interface SeparatingLoopOptions {
  /** Edges that the seam must not use: 1 per edge. They join their faces for good. */
  readonly blockedEdges?: Uint8Array;
  /** Edges that are open already: 1 per edge. They cost nothing and are not part of the result. */
  readonly openEdges?: Uint8Array;
  /**
   * Among cheapest cuts of equal cost, the one nearest to the inside or to the outside.
   * @defaultValue 'inside'
   */
  readonly near?: 'inside' | 'outside';
}

/** The cheapest seam between two sets of faces. */
export interface SeparatingLoop {
  /** Edges of the seam, ascending. */
  readonly edges: Int32Array;
  /** The seam as half-edges with the inside on their left: closed, or open where it ends at a border or an open edge. */
  readonly chains: readonly SeamChain[];
  /** 1 for faces on the inside. */
  readonly isInside: Uint8Array;
  /** Sum of the edge costs. */
  readonly cost: number;
}

export interface SeamChain {
  readonly halfEdges: Int32Array;
  readonly isClosed: boolean;
}

/** Costs are rounded to this share of the greatest, so that sums are exact and rounding noise does not decide. */
const COST_STEPS = 2 ** 24;

/**
 * Finds the cheapest set of edges that parts the inside faces from the outside faces: round a branch, the
 * cheapest closed seam. Faces in neither list go where they cost least.
 *
 * @param insideFaces - at least one face
 * @param outsideFaces - at least one face, none of the inside's
 * @param edgeCosts - per edge, ≥ 0 and finite; a cost of 0 is raised to the least step
 * @returns undefined when nothing parts them (both reach one another over blocked edges)
 * @throws OPTION_INVALID
 */
export function findSeparatingLoop(
  mesh: Mesh,
  insideFaces: ArrayLike<FaceId>,
  outsideFaces: ArrayLike<FaceId>,
  edgeCosts: Float64Array,
  options: SeparatingLoopOptions = {},
): SeparatingLoop | undefined {
  checkSides(mesh, insideFaces, outsideFaces, edgeCosts);
  const { blockedEdges, openEdges } = options;
  let greatest = 0;
  for (const cost of edgeCosts) greatest = Math.max(greatest, cost);
  const scale = greatest > 0 ? COST_STEPS / greatest : 1;
  const blocked = (mesh.edgeCount + 1) * COST_STEPS;
  const capacity = (e: number) => {
    if (openEdges?.[e]) return 0;
    return blockedEdges?.[e] ? blocked : Math.max(1, Math.round(edgeCosts[e]! * scale));
  };
  const cut = computeMinCut(buildDualNetwork(mesh, capacity), insideFaces, outsideFaces);
  if (cut.value >= blocked) return undefined;
  const isInside = options.near === 'outside' ? cut.isOuter : cut.isInner;
  const edges: number[] = [];
  const borders: HalfEdgeId[] = [];
  let cost = 0;
  for (let e = 0; e < mesh.edgeCount; e++) {
    const h = mesh.edgeHalfEdges[e]!;
    const t = mesh.twin[h]!;
    if (t < 0 || openEdges?.[e] || isInside[mesh.cornerFaces[h]!] === isInside[mesh.cornerFaces[t]!])
      continue;
    edges.push(e);
    borders.push(isInside[mesh.cornerFaces[h]!] ? h : t);
    cost += edgeCosts[e]!;
  }
  return { edges: Int32Array.from(edges), chains: chainHalfEdges(mesh, borders), isInside, cost };
}

function checkSides(
  mesh: Mesh,
  insideFaces: ArrayLike<FaceId>,
  outsideFaces: ArrayLike<FaceId>,
  edgeCosts: Float64Array,
): void {
  const fail = (problem: string): never => {
    throw new InvalidOptionError('OPTION_INVALID', `findSeparatingLoop: ${problem}`);
  };
  if (edgeCosts.length !== mesh.edgeCount)
    fail(`edgeCosts has ${edgeCosts.length} entries, expected ${mesh.edgeCount}`);
  if (insideFaces.length === 0 || outsideFaces.length === 0)
    fail('a side is empty, expected at least one face inside and one outside');
  const inside = new Set(Array.from(insideFaces));
  for (let i = 0; i < outsideFaces.length; i++)
    if (inside.has(outsideFaces[i]!)) fail(`face ${outsideFaces[i]} is on both sides, expected one`);
  for (let e = 0; e < edgeCosts.length; e++)
    if (!(edgeCosts[e]! >= 0 && edgeCosts[e]! < Infinity))
      fail(`cost of edge ${e} not usable, got ${edgeCosts[e]}, expected a finite number ≥ 0`);
}

/** Faces as nodes; a half-edge with a twin is the arc from its face to the twin's. */
function buildDualNetwork(mesh: Mesh, capacity: (edge: number) => number) {
  const arcOffsets = new Int32Array(mesh.faceCount + 1);
  const arcOfHalfEdge = new Int32Array(mesh.cornerCount).fill(-1);
  let arcs = 0;
  for (let f = 0; f < mesh.faceCount; f++) {
    for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++)
      if (mesh.twin[h]! >= 0) arcOfHalfEdge[h] = arcs++;
    arcOffsets[f + 1] = arcs;
  }
  const arcHeads = new Int32Array(arcs);
  const arcSisters = new Int32Array(arcs);
  const arcCapacities = new Float64Array(arcs);
  for (let h = 0; h < mesh.cornerCount; h++) {
    const a = arcOfHalfEdge[h]!;
    if (a < 0) continue;
    arcHeads[a] = mesh.cornerFaces[mesh.twin[h]!]!;
    arcSisters[a] = arcOfHalfEdge[mesh.twin[h]!]!;
    arcCapacities[a] = capacity(mesh.halfEdgeEdges[h]!);
  }
  return { nodeCount: mesh.faceCount, arcOffsets, arcHeads, arcSisters, arcCapacities };
}

/** Joins half-edges, each with its side on the left, head to tail; at a vertex met more than once it turns left. */
export function chainHalfEdges(mesh: Mesh, halfEdges: readonly HalfEdgeId[]): SeamChain[] {
  const isMember = new Set(halfEdges);
  const following = new Map<HalfEdgeId, HalfEdgeId>();
  const hasBefore = new Set<HalfEdgeId>();
  for (const h of halfEdges) {
    // Walk the side's own fan round the head: the next member with the same side on its left.
    let g = mesh.next[h]!;
    while (g >= 0 && !isMember.has(g)) {
      const t = g === mesh.twin[h] ? -1 : mesh.twin[g]!;
      g = t < 0 ? -1 : mesh.next[t]!;
    }
    if (g < 0) continue;
    following.set(h, g);
    hasBefore.add(g);
  }
  const isDone = new Set<HalfEdgeId>();
  const chains: SeamChain[] = [];
  const trace = (start: HalfEdgeId, isClosed: boolean) => {
    const chain: number[] = [];
    for (let h: HalfEdgeId | undefined = start; h !== undefined && !isDone.has(h); h = following.get(h)) {
      isDone.add(h);
      chain.push(h);
    }
    chains.push({ halfEdges: Int32Array.from(chain), isClosed });
  };
  for (const h of halfEdges) if (!hasBefore.has(h)) trace(h, false);
  for (const h of halfEdges) if (!isDone.has(h)) trace(h, true);
  return chains;
}
