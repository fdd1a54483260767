import type { Mesh } from '../mesh/index.js';
import type { WorkSurface } from './work-surface.js';

/** A region of a work surface given by a field: positive inside (with its sub-regions), negative outside. */
export interface FieldRegion {
  readonly parent: number;
  readonly field: Float64Array;
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
  regions: readonly FieldRegion[],
  faceRegions: Int32Array,
): void {
  const values = new Float64Array(mesh.vertexCount);
  for (const f of faces) faceRegions[f] = 0;
  for (let r = 1; r < regions.length; r++) {
    const { parent, field } = regions[r]!;
    surface.interpolate(field, values);
    for (const f of faces) {
      if (faceRegions[f] !== parent) continue;
      const first = mesh.faceOffsets[f]!;
      const end = mesh.faceOffsets[f + 1]!;
      let sum = 0;
      for (let c = first; c < end; c++) sum += values[mesh.cornerVertices[c]!]!;
      if (sum > 0) faceRegions[f] = r;
    }
  }
  joinIslands(mesh, faces, faceRegions, regions.length);
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
