import type { EdgeId, Mesh } from '../mesh/index.js';
import { edgeFaces, edgeVertices, isBorderEdge, vertexFace } from '../mesh/index.js';
import { DisjointSet } from '../structures/index.js';

export interface CreaseFields {
  readonly edgeLengths: Float64Array;
  readonly faceAreas: Float64Array;
  /** Signed angle between the faces of each edge, radians. */
  readonly edgeDihedrals: Float64Array;
  /** Angle defect of each vertex, radians. */
  readonly vertexDefects: Float64Array;
}

/** Edges that bend more than this are sharp. */
const SHARP_ANGLE = (40 * Math.PI) / 180;
/** Edges that bend less than this lie flat. */
const FLAT_ANGLE = (3 * Math.PI) / 180;
/** Most ends of sharp edges in the middle of a surface, as a share of the vertices on sharp edges. */
const MOST_LOOSE = 0.06;
/** Regions below this share of their shell join a neighbour. */
const SMALLEST_REGION = 0.002;

/**
 * Shells made of flat and rolled surfaces that meet at sharp edges, such as machined parts: nearly all their
 * curvature sits on the sharp edges. Either nothing at all is curved elsewhere, or little is and much of the
 * shell lies flat. Measured on characters: at least 3 % of the curvature lies elsewhere, and at most a third
 * of the edges' length lies flat. A coarse body has sharp edges at nearly every vertex, but then they end anywhere;
 * those of hard surfaces go round.
 */
export function findHardShells(mesh: Mesh, fields: CreaseFields): Uint8Array {
  const sharpEnds = new Int32Array(mesh.vertexCount);
  const isOnBorder = new Uint8Array(mesh.vertexCount);
  const flat = new Float64Array(mesh.shellCount);
  const total = new Float64Array(mesh.shellCount);
  for (let e = 0; e < mesh.edgeCount; e++) {
    const bend = Math.abs(fields.edgeDihedrals[e]!);
    const shell = mesh.faceShells[edgeFaces(mesh, e)[0]]!;
    total[shell]! += fields.edgeLengths[e]!;
    if (bend < FLAT_ANGLE && !isBorderEdge(mesh, e)) flat[shell]! += fields.edgeLengths[e]!;
    for (const v of edgeVertices(mesh, e)) {
      if (bend > SHARP_ANGLE) sharpEnds[v]!++;
      if (isBorderEdge(mesh, e)) isOnBorder[v] = 1;
    }
  }
  const curved = new Float64Array(mesh.shellCount);
  const sharp = new Float64Array(mesh.shellCount);
  const sharpCounts = new Int32Array(mesh.shellCount);
  const looseCounts = new Int32Array(mesh.shellCount);
  for (let v = 0; v < mesh.vertexCount; v++) {
    const shell = mesh.faceShells[vertexFace(mesh, v)]!;
    (sharpEnds[v] ? sharp : curved)[shell]! += Math.abs(fields.vertexDefects[v]!);
    if (sharpEnds[v]) sharpCounts[shell]!++;
    if (sharpEnds[v] === 1 && !isOnBorder[v]) looseCounts[shell]!++;
  }
  const isHard = new Uint8Array(mesh.shellCount);
  for (let s = 0; s < mesh.shellCount; s++) {
    const elsewhere = curved[s]! / (curved[s]! + sharp[s]! || 1);
    const isRound = looseCounts[s]! <= MOST_LOOSE * sharpCounts[s]!;
    if (isRound && sharp[s]! > 0 && (elsewhere < 0.01 || (elsewhere < 0.12 && flat[s]! > 0.45 * total[s]!)))
      isHard[s] = 1;
  }
  return isHard;
}

/** Sharp edges between the regions of hard shells, with scraps joined to the neighbour they bend to least. */
export function findCreases(mesh: Mesh, fields: CreaseFields, isHardShell: Uint8Array): EdgeId[] {
  const { edgeDihedrals, edgeLengths, faceAreas } = fields;
  const regions = new DisjointSet(mesh.faceCount);
  const sharpEdges: EdgeId[] = [];
  for (let e = 0; e < mesh.edgeCount; e++) {
    const [f, g] = edgeFaces(mesh, e);
    if (g < 0) continue;
    if (isHardShell[mesh.faceShells[f]!] && Math.abs(edgeDihedrals[e]!) > SHARP_ANGLE) sharpEdges.push(e);
    else regions.union(f, g);
  }
  const areas = new Float64Array(mesh.faceCount);
  const shellAreas = new Float64Array(mesh.shellCount);
  for (let f = 0; f < mesh.faceCount; f++) {
    areas[regions.find(f)]! += faceAreas[f]!;
    shellAreas[mesh.faceShells[f]!]! += faceAreas[f]!;
  }
  // Least bend first, so that a scrap goes where it fits best; the longer edge wins a tie.
  const order = [...sharpEdges].sort(
    (a, b) =>
      Math.abs(edgeDihedrals[a]!) - Math.abs(edgeDihedrals[b]!) || edgeLengths[b]! - edgeLengths[a]! || a - b,
  );
  for (const e of order) {
    const [f, g] = edgeFaces(mesh, e);
    const a = regions.find(f);
    const b = regions.find(g);
    if (a === b) continue;
    const scrap = SMALLEST_REGION * shellAreas[mesh.faceShells[f]!]!;
    if (areas[a]! >= scrap && areas[b]! >= scrap) continue;
    const sum = areas[a]! + areas[b]!;
    regions.union(a, b);
    areas[regions.find(a)] = sum;
  }
  return sharpEdges.filter((e) => {
    const [f, g] = edgeFaces(mesh, e);
    return regions.find(f) !== regions.find(g);
  });
}
