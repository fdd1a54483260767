import type { Vec3 } from '../math/index.js';
import { cross, dot, normalize, vec3At } from '../math/index.js';
import type { Mesh } from './mesh.js';
import { numberEdges } from './number-edges.js';

/** A copy of a mesh that does not depend on how the caller numbered, placed, turned or scaled it. */
export interface CanonicalMesh {
  /** Up is +y, front is +z, left is +x, the box's centre is the origin, the diagonal is 1. */
  readonly mesh: Mesh;
  /** The caller's face of each canonical face. */
  readonly faces: Int32Array;
  /** Vertex of the original mesh for each canonical vertex. */
  readonly vertices: Int32Array;
  /** Edge of the original mesh for each canonical edge. */
  readonly edges: Int32Array;
}

/** Coordinates are rounded to this share of the diagonal, so that a turned or moved copy gives the same bits. */
const GRID = 2 ** -22;

/**
 * Brings a mesh into a standard place and order: points by position, faces by their points. Whatever is
 * decided on it is decided alike for every numbering and every similarity of the same model.
 */
export function canonicalMesh(mesh: Mesh, up: Vec3, front: Vec3): CanonicalMesh {
  const y = normalize(up);
  const x = normalize(cross(y, front));
  const z = cross(x, y);
  const coordinates = new Float64Array(3 * mesh.vertexCount);
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let v = 0; v < mesh.vertexCount; v++) {
    const p = vec3At(mesh.points, mesh.vertexPoints[v]!);
    const turned = [dot(p, x), dot(p, y), dot(p, z)];
    for (let k = 0; k < 3; k++) {
      coordinates[3 * v + k] = turned[k]!;
      low[k] = Math.min(low[k]!, turned[k]!);
      high[k] = Math.max(high[k]!, turned[k]!);
    }
  }
  const diagonal = Math.hypot(high[0]! - low[0]!, high[1]! - low[1]!, high[2]! - low[2]!);
  for (let i = 0; i < coordinates.length; i++) {
    const k = i % 3;
    // Adding 0 makes 0 of −0.
    coordinates[i] = Math.round((coordinates[i]! - (low[k]! + high[k]!) / 2) / diagonal / GRID) * GRID + 0;
  }

  const vertices = orderVertices(coordinates, mesh);
  const ranks = new Int32Array(mesh.vertexCount);
  vertices.forEach((v, rank) => {
    ranks[v] = rank;
  });
  const faces = orderFaces(mesh, ranks);

  const points = new Float64Array(3 * mesh.vertexCount);
  vertices.forEach((v, rank) => {
    points.set(coordinates.subarray(3 * v, 3 * v + 3), 3 * rank);
  });
  const canonical = renumber(mesh, points, ranks, faces);
  return { mesh: canonical.mesh, faces, vertices, edges: canonical.edges };
}

/** The same topology under new numbers. Pairing is carried over, not found again: edges that were left open stay so. */
function renumber(
  mesh: Mesh,
  points: Float64Array,
  ranks: Int32Array,
  faces: Int32Array,
): { mesh: Mesh; edges: Int32Array } {
  const { cornerCount, faceCount, vertexCount } = mesh;
  const faceOffsets = new Int32Array(faceCount + 1);
  const oldCorners = new Int32Array(cornerCount);
  const newCorners = new Int32Array(cornerCount);
  const cornerFaces = new Int32Array(cornerCount);
  const next = new Int32Array(cornerCount);
  const prev = new Int32Array(cornerCount);
  let corner = 0;
  faces.forEach((f, i) => {
    const start = corner;
    const first = lowestCorner(mesh, ranks, f);
    let h = first;
    do {
      oldCorners[corner] = h;
      newCorners[h] = corner;
      cornerFaces[corner] = i;
      next[corner] = corner + 1;
      prev[corner] = corner - 1;
      corner++;
      h = mesh.next[h]!;
    } while (h !== first);
    next[corner - 1] = start;
    prev[start] = corner - 1;
    faceOffsets[i + 1] = corner;
  });
  const cornerVertices = oldCorners.map((h) => ranks[mesh.cornerVertices[h]!]!);
  const twin = oldCorners.map((h) => (mesh.twin[h]! < 0 ? -1 : newCorners[mesh.twin[h]!]!));
  const numbers = numberEdges(twin, cornerVertices, vertexCount);
  const shellNumbers = new Int32Array(mesh.shellCount).fill(-1);
  let shellCount = 0;
  const faceShells = faces.map((f) => {
    const shell = mesh.faceShells[f]!;
    if (shellNumbers[shell]! < 0) shellNumbers[shell] = shellCount++;
    return shellNumbers[shell]!;
  });
  return {
    mesh: {
      points,
      pointCount: vertexCount,
      faceCount,
      cornerCount,
      vertexCount,
      ...numbers,
      shellCount,
      faceOffsets,
      cornerPoints: cornerVertices,
      cornerVertices,
      cornerFaces,
      next,
      prev,
      twin,
      vertexPoints: Int32Array.from({ length: vertexCount }, (_, v) => v),
      faceShells,
      faceFlipped: new Uint8Array(faceCount),
      repairs: [],
      diagonal: 1,
    },
    edges: numbers.edgeHalfEdges.map((h) => mesh.halfEdgeEdges[oldCorners[h]!]!),
  };
}

function orderVertices(coordinates: Float64Array, mesh: Mesh): Int32Array {
  const order = Int32Array.from({ length: mesh.vertexCount }, (_, v) => v);
  // Vertices in one place (pinched, or coinciding and unwelded) are told apart by the faces round them.
  const tieBreaks = new Map<number, number>();
  const tieBreak = (v: number): number => {
    let value = tieBreaks.get(v);
    if (value === undefined) {
      value = 0;
      for (let h = 0; h < mesh.cornerCount; h++) {
        if (mesh.cornerVertices[h] !== v) continue;
        const head = mesh.cornerVertices[mesh.next[h]!]!;
        value += coordinates[3 * head]! + 1.7 * coordinates[3 * head + 1]! + 2.9 * coordinates[3 * head + 2]!;
      }
      tieBreaks.set(v, value);
    }
    return value;
  };
  let budget = 2000;
  return order.sort((a, b) => {
    for (let k = 0; k < 3; k++) {
      const difference = coordinates[3 * a + k]! - coordinates[3 * b + k]!;
      if (difference !== 0) return difference;
    }
    if (budget-- > 0) return tieBreak(a) - tieBreak(b) || a - b;
    return a - b;
  });
}

function lowestCorner(mesh: Mesh, ranks: Int32Array, f: number): number {
  let lowest = mesh.faceOffsets[f]!;
  for (let h = lowest + 1; h < mesh.faceOffsets[f + 1]!; h++) {
    if (ranks[mesh.cornerVertices[h]!]! < ranks[mesh.cornerVertices[lowest]!]!) lowest = h;
  }
  return lowest;
}

/** Faces by their lowest vertex, then by the vertices that follow it round the face. */
function orderFaces(mesh: Mesh, ranks: Int32Array): Int32Array {
  const firsts = new Int32Array(mesh.faceCount);
  for (let f = 0; f < mesh.faceCount; f++) firsts[f] = lowestCorner(mesh, ranks, f);
  const order = Int32Array.from({ length: mesh.faceCount }, (_, f) => f);
  return order.sort((f, g) => {
    let a = firsts[f]!;
    let b = firsts[g]!;
    for (let i = 0; i < 3; i++) {
      const difference = ranks[mesh.cornerVertices[a]!]! - ranks[mesh.cornerVertices[b]!]!;
      if (difference !== 0) return difference;
      a = mesh.next[a]!;
      b = mesh.next[b]!;
    }
    return f - g;
  });
}
