import type { HalfEdgeId, Mesh } from '../mesh/index.js';
import { MirrorMap } from './mirror-walk.js';
import { computeVertexSignatures, mix } from './vertex-signatures.js';

/** A half-edge and its partner, enough to fix the mirror map of a whole shell. */
export interface MirrorSeed {
  readonly from: HalfEdgeId;
  readonly to: HalfEdgeId;
}

const SIGNATURE_ROUNDS = 24;
const MAX_TRIALS = 32;
/** Partner edges differ in length by this factor at most: in the crook of a bent elbow edges shrink several times. */
export const POSED_LENGTH_RATIO = 8;

/**
 * Finds the mirror map of a shell from the topology alone, for characters in an uneven pose: tries edges
 * that could lie on the centre line (their two faces swap) or cross it (the edge turns round), where the
 * surroundings look alike on both sides, and keeps the one whose map reaches farthest with the likest lengths.
 *
 * @returns a seed per shell where the map covers at least `leastShare` of the faces
 */
export function findTopologicalSeeds(
  mesh: Mesh,
  edgeLengths: Float64Array,
  shells: ReadonlySet<number>,
  leastShare: number,
): MirrorSeed[] {
  const signatures = computeVertexSignatures(mesh, SIGNATURE_ROUNDS);
  const candidates = new Map<number, { seed: MirrorSeed; key: number }[]>();
  for (let e = 0; e < mesh.edgeCount; e++) {
    const h = mesh.edgeHalfEdges[e]!;
    const shell = mesh.faceShells[mesh.cornerFaces[h]!]!;
    const t = mesh.twin[h]!;
    if (!shells.has(shell)) continue;
    const list = candidates.get(shell) ?? candidates.set(shell, []).get(shell)!;
    const key = edgeKey(mesh, signatures, h);
    if (t >= 0 && looksAlike(mesh, signatures, h, t)) list.push({ seed: { from: h, to: t }, key });
    if (looksAlike(mesh, signatures, h, h) && (t < 0 || looksAlike(mesh, signatures, t, t)))
      list.push({ seed: { from: h, to: h }, key: key ^ 1 });
  }
  const shellFaces = new Int32Array(mesh.shellCount);
  for (const shell of mesh.faceShells) shellFaces[shell]!++;
  const map = new MirrorMap(mesh, edgeLengths, POSED_LENGTH_RATIO);
  const seeds: MirrorSeed[] = [];
  for (const [shell, list] of candidates) {
    const best = findBestSeed(mesh, map, edgeLengths, list, shellFaces[shell]!);
    if (best && best.share >= leastShare) seeds.push(best.seed);
  }
  return seeds;
}

function findBestSeed(
  mesh: Mesh,
  map: MirrorMap,
  edgeLengths: Float64Array,
  list: { seed: MirrorSeed; key: number }[],
  faceCount: number,
): { seed: MirrorSeed; share: number } | undefined {
  list.sort((a, b) => a.key - b.key || a.seed.from - b.seed.from);
  let best: { seed: MirrorSeed; share: number; cost: number } | undefined;
  for (const { seed } of list.slice(0, MAX_TRIALS)) {
    if (!map.tryFaces(seed.from, seed.to)) continue;
    map.walk();
    const share = map.matchedFaceCount / faceCount;
    const difference = meanLengthDifference(mesh, map, edgeLengths);
    const cost = difference + 4 * (1 - share);
    if (!best || cost < best.cost - 1e-9) best = { seed, share, cost };
    map.clear();
    if (share > 0.99 && difference < 0.1) break;
  }
  return best;
}

/** Hash of an edge by what lies round it. */
const edgeKey = (mesh: Mesh, signatures: Int32Array, h: HalfEdgeId): number =>
  mix((signatures[mesh.cornerVertices[h]!]! + signatures[mesh.cornerVertices[mesh.next[h]!]!]!) | 0);

/** Whether the two faces have the same signatures when one is run through backwards. */
function looksAlike(mesh: Mesh, signatures: Int32Array, h: HalfEdgeId, g: HalfEdgeId): boolean {
  let a = h;
  let b = g;
  do {
    if (signatures[mesh.cornerVertices[a]!] !== signatures[mesh.cornerVertices[mesh.next[b]!]!]) return false;
    a = mesh.next[a]!;
    b = mesh.prev[b]!;
  } while (a !== h && b !== g);
  return a === h && b === g;
}

/** Mean |log| of the length ratio of matched half-edges. */
function meanLengthDifference(mesh: Mesh, map: MirrorMap, edgeLengths: Float64Array): number {
  let sum = 0;
  let count = 0;
  for (let h = 0; h < mesh.cornerCount; h++) {
    const g = map.halfEdgePartners[h]!;
    if (g < 0) continue;
    sum += Math.abs(Math.log(edgeLengths[mesh.halfEdgeEdges[h]!]! / edgeLengths[mesh.halfEdgeEdges[g]!]!));
    count++;
  }
  return count > 0 ? sum / count : Infinity;
}
