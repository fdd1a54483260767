import type { Mesh, VertexId } from '../mesh/index.js';
import {
  findHalfEdge,
  headVertex,
  isBorderVertex,
  outgoingHalfEdges,
  tailVertex,
  vertexFace,
} from '../mesh/index.js';
import { POSED_LENGTH_RATIO, TopologicalMatcher } from './mirror-seeds.js';
import { MirrorMap } from './mirror-walk.js';

/** Where the match goes on beyond what fits by place, partner edges differ in length by this factor at most. */
const PLACED_LENGTH_RATIO = 2.5;
/** A shell or mesh with partners on this share of it counts as matched. */
export const WELL_MATCHED = 0.9;

/**
 * Matches by place, then carries the match on through the topology in the shells where that can be trusted: where
 * half of the faces match by place, or where the walk goes through nearly everything with hardly a contradiction.
 * (On a regular grid a few chance matches would otherwise spread.)
 */
export function mapByPlace(mesh: Mesh, edgeLengths: Float64Array, candidates: Int32Array): MirrorMap {
  const start = () => {
    const map = new MirrorMap(mesh, edgeLengths, PLACED_LENGTH_RATIO);
    seedByPlace(mesh, map, candidates);
    pairFree(map.vertexPartners, candidates, (v) => isBorneOut(mesh, candidates, v));
    return map;
  };
  const map = start();
  const placed = measureShellShares(mesh, map);
  map.walk();
  const walked = measureShellShares(mesh, map);
  const conflictShares = measureConflicts(mesh, map);
  const isTrusted = Uint8Array.from(placed, (share, shell) =>
    share >= 0.5 || (walked[shell]! >= WELL_MATCHED && conflictShares[shell]! <= 0.02) ? 1 : 0,
  );
  if (isTrusted.every((trusted) => trusted === 1)) return map;
  const careful = start();
  careful.walk(isTrusted);
  return careful;
}

/** Sizes of a mesh's elements. */
interface MirrorSizes {
  readonly edgeLengths: Float64Array;
  readonly faceAreas: Float64Array;
}

/**
 * Matches by topology the shells that places do not match: the largest of all onto itself when most of the
 * surface is without partners, then the others by their place on it.
 */
export function mapByTopology(
  mesh: Mesh,
  positions: Float64Array,
  { edgeLengths, faceAreas }: MirrorSizes,
  placed: MirrorMap,
  isPosed: boolean,
): MirrorMap {
  const shares = measureShellShares(mesh, placed);
  const areas = new Float64Array(mesh.shellCount);
  faceAreas.forEach((area, f) => {
    areas[mesh.faceShells[f]!]! += area;
  });
  // In an uneven pose the plane is a guess, and what small shells seem to match by place is chance.
  const unlike = [...shares.keys()].filter((shell) => isPosed || shares[shell]! < WELL_MATCHED);
  unlike.sort((a, b) => areas[b]! - areas[a]!);
  const matcher = new TopologicalMatcher(mesh, positions, edgeLengths);
  const seed = isPosed ? matcher.findBodySeed(unlike[0]!, WELL_MATCHED) : undefined;
  if (isPosed && !seed) return placed;
  const map = new MirrorMap(mesh, edgeLengths, POSED_LENGTH_RATIO);
  for (let f = 0; f < mesh.faceCount && !isPosed; f++) {
    const h = mesh.faceOffsets[f]!;
    const g = placed.halfEdgePartners[h]!;
    if (g >= 0) map.tryFaces(h, g);
  }
  // In other shells what matches by place is chance, unless whole faces do.
  placed.vertexPartners.forEach((w, v) => {
    if (!isPosed && shares[mesh.faceShells[vertexFace(mesh, v)]!]! >= WELL_MATCHED) map.vertexPartners[v] = w;
  });
  if (seed) map.tryFaces(seed.from, seed.to);
  map.walk();
  let reached = measureShellShares(mesh, map);
  for (const shell of unlike) {
    if (reached[shell]! >= WELL_MATCHED) continue;
    const further = matcher.findFurtherSeed(shell, map);
    if (!further) continue;
    map.tryFaces(further.from, further.to);
    map.walk();
    reached = measureShellShares(mesh, map);
  }
  return map;
}

/** Share of each shell's corners that lie at vertices with partners. */
function measureShellShares(mesh: Mesh, map: MirrorMap): Float64Array {
  const corners = new Float64Array(mesh.shellCount);
  const matched = new Float64Array(mesh.shellCount);
  for (let c = 0; c < mesh.cornerCount; c++) {
    const shell = mesh.faceShells[mesh.cornerFaces[c]!]!;
    corners[shell]!++;
    if (map.vertexPartners[mesh.cornerVertices[c]!]! >= 0) matched[shell]!++;
  }
  return matched.map((count, shell) => count / corners[shell]!);
}

/** Contradictions met in each shell per face. */
function measureConflicts(mesh: Mesh, map: MirrorMap): Float64Array {
  const faces = new Float64Array(mesh.shellCount);
  for (const shell of mesh.faceShells) faces[shell]!++;
  return faces.map((count, shell) => map.shellConflicts[shell]! / count);
}

/** Makes faces partners whose corners are so already, however their edges differ, as those that a pose has stretched. */
export function closeGaps(mesh: Mesh, map: MirrorMap): void {
  seedByPlace(mesh, map, map.vertexPartners, Infinity);
}

/**
 * Whether most edges of a vertex go to edges of its candidate, whatever the faces do: polygons may be divided otherwise
 * on the other side. Not where a neighbour has none, or on a border, where several vertices may lie at one place.
 */
function isBorneOut(mesh: Mesh, candidates: Int32Array, v: VertexId): boolean {
  const neighbours = outgoingHalfEdges(mesh, v).map((h) => candidates[headVertex(mesh, h)]!);
  const images = neighbours.filter((u) => findHalfEdge(mesh, candidates[v]!, u) >= 0);
  return 2 * images.length > neighbours.length && !neighbours.includes(-1) && !isBorderVertex(mesh, v);
}

/** Makes vertices that are free partners by place. */
export function pairFree(
  vertexPartners: Int32Array,
  candidates: Int32Array,
  isSure: (v: VertexId) => boolean = () => true,
): void {
  candidates.forEach((w, v) => {
    if (w < 0 || vertexPartners[v]! >= 0 || vertexPartners[w]! >= 0 || !isSure(v)) return;
    vertexPartners[v] = w;
    vertexPartners[w] = v;
  });
}

/** Starts the map at every face whose corners all have partners that form a face. */
function seedByPlace(mesh: Mesh, map: MirrorMap, candidates: Int32Array, maxRatio?: number): void {
  for (let f = 0; f < mesh.faceCount; f++) {
    if (map.facePartners[f]! >= 0) continue;
    const h = mesh.faceOffsets[f]!;
    const g = findHalfEdge(mesh, candidates[headVertex(mesh, h)]!, candidates[tailVertex(mesh, h)]!);
    if (g < 0) continue;
    let a = h;
    let b = g;
    do {
      if (candidates[tailVertex(mesh, a)] !== headVertex(mesh, b)) break;
      a = mesh.next[a]!;
      b = mesh.prev[b]!;
    } while (a !== h);
    if (a === h && b === g) map.tryFaces(h, g, maxRatio);
  }
}
