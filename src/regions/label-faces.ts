import type { Mesh } from '../mesh/index.js';
import type { LoopPlace, SnapCosts } from './snap-loop.js';
import { snapLoop } from './snap-loop.js';
import type { WorkSurface } from './work-surface.js';

/** A region of a work surface given by a field: positive inside (with its sub-regions), negative outside. */
export interface FieldRegion {
  readonly parent: number;
  readonly field: Float64Array;
  /** Radius of the region's base, in the field's units; 0 leaves the outline where the field is 0. */
  readonly radius: number;
  /** What kind of place the outline runs through. */
  readonly place: LoopPlace;
}

/**
 * Gives every face of a shell its innermost region. Regions are listed parents first; region 0 is the whole shell.
 *
 * @param faceRegions - written for the shell's faces
 */
export function labelFaces(
  mesh: Mesh,
  faces: Int32Array,
  surface: WorkSurface,
  costs: SnapCosts,
  regions: readonly FieldRegion[],
  faceRegions: Int32Array,
): void {
  const values = new Float64Array(mesh.vertexCount);
  const lists: number[][] = [Array.from(faces)];
  for (const f of faces) faceRegions[f] = 0;
  for (let r = 1; r < regions.length; r++) {
    const { parent, field, radius, place } = regions[r]!;
    surface.interpolate(field, values);
    const available = lists[parent]!;
    const width = Math.min(
      0.95 * radius,
      Math.max(BAND * radius, 1.2 * edgeAtZero(mesh, available, values, costs)),
    );
    const inside = snapLoop(mesh, available, values, width, costs, place);
    for (const f of inside) faceRegions[f] = r;
    lists[r] = inside;
    lists[parent] = available.filter((f) => faceRegions[f] === parent);
  }
  joinIslands(mesh, faces, faceRegions, regions.length);
}

/** Half width of the band an outline may move in, in radii of the base. */
const BAND = 0.5;

/** Mean length of the edges that the field's zero line crosses. */
function edgeAtZero(mesh: Mesh, faces: readonly number[], values: Float64Array, costs: SnapCosts): number {
  let sum = 0;
  let count = 0;
  for (const f of faces)
    for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++) {
      if (values[mesh.cornerVertices[h]!]! > 0 === values[mesh.cornerVertices[mesh.next[h]!]!]! > 0) continue;
      sum += costs.edgeLengths[mesh.halfEdgeEdges[h]!]!;
      count++;
    }
  return count > 0 ? sum / count : 0;
}

/** Hands pieces cut off from their region's largest piece to the neighbour they share most edges with. */
function joinIslands(mesh: Mesh, faces: Int32Array, faceRegions: Int32Array, regionCount: number): void {
  const pieceOf = new Map<number, number>();
  const pieces: number[][] = [];
  for (const seed of faces) {
    if (pieceOf.has(seed)) continue;
    const piece = [seed];
    pieceOf.set(seed, pieces.length);
    for (let i = 0; i < piece.length; i++) {
      const f = piece[i]!;
      for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++) {
        const t = mesh.twin[h]!;
        if (t < 0) continue;
        const g = mesh.cornerFaces[t]!;
        if (pieceOf.has(g) || faceRegions[g] !== faceRegions[f]) continue;
        pieceOf.set(g, pieces.length);
        piece.push(g);
      }
    }
    pieces.push(piece);
  }
  const largest = new Int32Array(regionCount).fill(-1);
  pieces.forEach((piece, i) => {
    const r = faceRegions[piece[0]!]!;
    if (largest[r]! < 0 || piece.length > pieces[largest[r]!]!.length) largest[r] = i;
  });
  // Smallest first, so that a crumb inside a crumb ends up with the region round both.
  const crumbs = pieces
    .filter((piece, i) => largest[faceRegions[piece[0]!]!] !== i)
    .sort((a, b) => a.length - b.length);
  for (const piece of crumbs) {
    const inPiece = new Set(piece);
    const votes = new Map<number, number>();
    for (const f of piece)
      for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++) {
        const t = mesh.twin[h]!;
        if (t < 0 || inPiece.has(mesh.cornerFaces[t]!)) continue;
        const r = faceRegions[mesh.cornerFaces[t]!]!;
        votes.set(r, (votes.get(r) ?? 0) + 1);
      }
    let best = faceRegions[piece[0]!]!;
    let most = 0;
    for (const [r, count] of [...votes].sort((a, b) => a[0] - b[0]))
      if (count > most) {
        most = count;
        best = r;
      }
    for (const f of piece) faceRegions[f] = best;
  }
}
