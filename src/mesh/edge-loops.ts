import type { EdgeId, FaceId, HalfEdgeId } from './ids.js';
import type { Mesh } from './mesh.js';

/** Edges one after the other, as an artist's loop selection would take them. */
export interface EdgeLoop {
  /** Half-edges head to tail; a closed loop starts with the one asked for. */
  readonly halfEdges: readonly HalfEdgeId[];
  readonly isClosed: boolean;
}

/** Edges side by side across a strip of quads. */
export interface EdgeRing {
  /** One half-edge per edge, all pointing to the same side of the strip; the first is not repeated at the end. */
  readonly halfEdges: readonly HalfEdgeId[];
  /** The quad after each edge; on an open ring one fewer than edges. */
  readonly faces: readonly FaceId[];
  readonly isClosed: boolean;
}

/**
 * The half-edge straight ahead of `h`: through an interior vertex of valence 4 the one opposite, along a
 * border the next one through a vertex of valence 3; -1 where the loop ends (a pole, a corner).
 */
export function straightAhead(mesh: Mesh, h: HalfEdgeId): HalfEdgeId | -1 {
  const { next, twin } = mesh;
  const a = twin[next[h]!]!;
  if (a < 0) return -1;
  const b = next[a]!;
  if (twin[h]! < 0) return twin[b]! < 0 ? b : -1;
  const c = twin[b]!;
  if (c < 0) return -1;
  const d = twin[next[c]!]!;
  return d >= 0 && next[d] === twin[h] ? b : -1;
}

/** The half-edge that `h` lies straight ahead of; -1 where the loop begins. */
export function straightBehind(mesh: Mesh, h: HalfEdgeId): HalfEdgeId | -1 {
  const { prev, twin } = mesh;
  if (twin[h]! >= 0) {
    const back = straightAhead(mesh, twin[h]!);
    return back < 0 ? -1 : twin[back]!;
  }
  const a = twin[prev[h]!]!;
  if (a < 0) return -1;
  const b = prev[a]!;
  return twin[b]! < 0 ? b : -1;
}

/**
 * Finds the edge loop through a half-edge: straight on through every regular vertex, both ways, until it
 * closes or meets a pole, a corner or a border. A loop may cross itself, but takes no edge twice.
 *
 * Linear in the length of the loop.
 */
export function findEdgeLoop(mesh: Mesh, halfEdge: HalfEdgeId): EdgeLoop {
  const halfEdges = [halfEdge];
  let h = straightAhead(mesh, halfEdge);
  while (h >= 0 && h !== halfEdge) {
    halfEdges.push(h);
    h = straightAhead(mesh, h);
  }
  if (h === halfEdge) return { halfEdges, isClosed: true };
  const before: HalfEdgeId[] = [];
  for (let g = straightBehind(mesh, halfEdge); g >= 0; g = straightBehind(mesh, g)) before.push(g);
  return { halfEdges: [...before.reverse(), ...halfEdges], isClosed: false };
}

/**
 * Finds the edge ring through an edge: across every quad to its opposite edge, both ways, until it closes
 * or meets a border or a face that is no quad.
 *
 * Linear in the length of the ring.
 */
export function findEdgeRing(mesh: Mesh, edge: EdgeId): EdgeRing {
  const { twin } = mesh;
  const start = mesh.edgeHalfEdges[edge]!;
  const halfEdges = [start];
  const faces: FaceId[] = [];
  for (let h = start; ; ) {
    const across = oppositeInQuad(mesh, h);
    if (across < 0) break;
    faces.push(mesh.cornerFaces[h]!);
    // Seen from the next quad the edge runs the same way as the one before.
    if (twin[across]! === start) return { halfEdges, faces, isClosed: true };
    if (twin[across]! < 0) {
      halfEdges.push(across);
      break;
    }
    h = twin[across]!;
    halfEdges.push(h);
  }
  const before: HalfEdgeId[] = [];
  const facesBefore: FaceId[] = [];
  for (let h = twin[start]!; h >= 0; ) {
    const across = oppositeInQuad(mesh, h);
    if (across < 0) break;
    facesBefore.push(mesh.cornerFaces[h]!);
    before.push(across);
    h = twin[across]!;
  }
  return {
    halfEdges: [...before.reverse(), ...halfEdges],
    faces: [...facesBefore.reverse(), ...faces],
    isClosed: false,
  };
}

/** The half-edge across the quad that `h` lies in, or -1 when its face is no quad. */
function oppositeInQuad(mesh: Mesh, h: HalfEdgeId): HalfEdgeId | -1 {
  const across = mesh.next[mesh.next[h]!]!;
  return mesh.next[mesh.next[across]!] === h && across !== h ? across : -1;
}
