import { computeMinCut } from '../graph/index.js';
import type { FaceId, Mesh } from '../mesh/index.js';
import { listMembers } from '../structures/index.js';

/** What an edge costs when a loop runs along it. */
export interface SnapCosts {
  readonly edgeLengths: Float64Array;
  /** 0 flat or convex, 1 a sharp groove (see computeCurvature). */
  readonly edgeConcavity: Float64Array;
}

/** A groove makes an edge cheaper by up to this share. */
const GROOVE_BONUS = 0.6;
/** Cost of an edge on the field's zero line. */
const FLAT_COST = 1;
/**
 * What is added at the band's rim. Where a limb joins another the loop is held to its place, or it would slip to
 * where the limb is thin; at a waist, as wrist, ankle and neck, it may move to the nearest whole edge loop.
 */
const BAND_COST = { base: 3, waist: 0.75 } as const;

export type LoopPlace = keyof typeof BAND_COST;

/**
 * Settles where a region's outline runs: along the cheapest edges within a band about the field's zero line,
 * which on quads are whole edge loops.
 *
 * @param available - faces that may be in the region or outside it
 * @param values - the field at each vertex of the mesh, positive inside
 * @param width - half width of the band, in the field's units
 * @param place - whether the loop lies at a waist and may give way
 * @returns the available faces inside
 */
export function snapLoop(
  mesh: Mesh,
  available: readonly FaceId[],
  values: Float64Array,
  width: number,
  costs: SnapCosts,
  place: LoopPlace = 'base',
): FaceId[] {
  const node = new Map<FaceId, number>();
  const heights = available.map((f) => faceMean(mesh, values, f));
  const inside: FaceId[] = [];
  const band: FaceId[] = [];
  const sideOf = new Map<FaceId, 1 | -1>();
  available.forEach((f, i) => {
    if (Math.abs(heights[i]!) <= width) {
      node.set(f, band.length);
      band.push(f);
    } else {
      sideOf.set(f, heights[i]! > 0 ? 1 : -1);
      if (heights[i]! > 0) inside.push(f);
    }
  });
  const byField = () => available.filter((_, i) => heights[i]! > 0);
  if (band.length === 0 || inside.length === 0 || inside.length + band.length === available.length)
    return byField();

  // Nodes: the band's faces, then one for everything inside and one for everything outside.
  const source = band.length;
  const sink = band.length + 1;
  const links: { from: number; to: number; cost: number }[] = [];
  for (const f of band) {
    for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++) {
      const t = mesh.twin[h]!;
      if (t < 0) continue;
      const g = mesh.cornerFaces[t]!;
      const other = node.get(g);
      const side = sideOf.get(g);
      if (other === undefined && side === undefined) continue;
      if (other !== undefined && h > t) continue;
      const e = mesh.halfEdgeEdges[h]!;
      const off =
        (values[mesh.cornerVertices[h]!]! + values[mesh.cornerVertices[mesh.next[h]!]!]!) / 2 / width;
      const cost =
        costs.edgeLengths[e]! *
        (FLAT_COST + BAND_COST[place] * off * off) *
        (1 - GROOVE_BONUS * costs.edgeConcavity[e]!);
      links.push({ from: node.get(f)!, to: other ?? (side === 1 ? source : sink), cost });
    }
  }
  const isInner = computeMinCut(buildNetwork(band.length + 2, links), [source], [sink]);
  for (let i = 0; i < band.length; i++) if (isInner[i]) inside.push(band[i]!);
  return inside;
}

/** Whole numbers make the sums exact, so that the cut does not depend on the order of work. */
const COST_STEPS = 2 ** 24;

function buildNetwork(nodeCount: number, links: readonly { from: number; to: number; cost: number }[]) {
  const greatest = links.reduce((most, link) => Math.max(most, link.cost), 0) || 1;
  const ends = links.flatMap(({ from, to }) => [from, to]);
  const { starts, members } = listMembers(ends, nodeCount);
  const places = new Int32Array(ends.length);
  members.forEach((end, arc) => {
    places[end] = arc;
  });
  return {
    nodeCount,
    arcOffsets: starts,
    arcHeads: members.map((end) => ends[end ^ 1]!),
    arcSisters: members.map((end) => places[end ^ 1]!),
    arcCapacities: Float64Array.from(members, (end) =>
      Math.max(1, Math.round((links[end >> 1]!.cost / greatest) * COST_STEPS)),
    ),
  };
}

export function faceMean(mesh: Mesh, values: Float64Array, f: FaceId): number {
  const first = mesh.faceOffsets[f]!;
  const end = mesh.faceOffsets[f + 1]!;
  let sum = 0;
  for (let c = first; c < end; c++) sum += values[mesh.cornerVertices[c]!]!;
  return sum / (end - first);
}
