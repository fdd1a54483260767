import { InvalidOptionError } from '../errors.js';
import { growDistances } from '../graph/index.js';
import type { Mesh, VertexId } from '../mesh/index.js';
import { computeEdgeLengths, computeVertexPositions } from '../mesh/index.js';
import { IndexedHeap, listMembers } from '../structures/index.js';
import { triangulateFaces } from './triangulate-faces.js';

export interface GeodesicOptions {
  /**
   * `edges`: shortest way along mesh edges, fast, too long by the zig-zag. `smooth`: across faces, within about
   * 1 % of the true distance on fine meshes.
   * @defaultValue 'smooth'
   */
  readonly method?: 'edges' | 'smooth';
  /**
   * Vertices farther than this stay at Infinity; model units.
   * @defaultValue Infinity
   */
  readonly maxDistance?: number;
}

export const GEODESIC_DEFAULTS = Object.freeze({ method: 'smooth' as const, maxDistance: Infinity });

/**
 * Distance over the surface from the nearest source to every vertex, model units; Infinity where none leads.
 *
 * @param sources - vertices at distance 0; none gives Infinity everywhere
 * @throws OPTION_INVALID
 *
 * O(n log n).
 */
export function computeGeodesicDistances(
  mesh: Mesh,
  sources: ArrayLike<VertexId>,
  options: GeodesicOptions = {},
): Float64Array {
  const { method, maxDistance } = { ...GEODESIC_DEFAULTS, ...options };
  if (method !== 'edges' && method !== 'smooth')
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `computeGeodesicDistances: unknown method, got '${String(method)}', expected edges or smooth`,
    );
  for (let i = 0; i < sources.length; i++)
    if (!(Number.isInteger(sources[i]) && sources[i]! >= 0 && sources[i]! < mesh.vertexCount))
      throw new InvalidOptionError(
        'OPTION_INVALID',
        `computeGeodesicDistances: source ${i} is no vertex, got ${sources[i]}, expected 0..${mesh.vertexCount - 1}`,
      );
  const distances =
    method === 'edges'
      ? growDistances(mesh, sources, computeEdgeLengths(mesh), maxDistance).distances
      : new SmoothFront(mesh).spread(sources, maxDistance);
  return distances.map((d) => (d <= maxDistance ? d : Infinity));
}

/**
 * Smooth distances spread from the sources like Dijkstra's, but carry the front across triangles: from the
 * distances at two corners it is found where a source would lie in the triangle's plane, and the straight
 * line from there to the third corner is measured (Novotni & Klein 2002, "Computing geodesic distances on triangular
 * meshes"); where the two corners are reached from different sources the front is taken as straight. Quads are split
 * both ways, so the result has no preferred diagonal. A vertex whose distance drops after it was settled is taken up
 * again, which mends obtuse triangles.
 */
class SmoothFront {
  readonly #distances: Float64Array;
  /** The source that each vertex is reached from. */
  readonly #roots: Int32Array;
  readonly #heap: IndexedHeap;
  readonly #stencils: Stencils;

  constructor(mesh: Mesh) {
    this.#distances = new Float64Array(mesh.vertexCount).fill(Infinity);
    this.#roots = new Int32Array(mesh.vertexCount);
    this.#heap = new IndexedHeap(mesh.vertexCount);
    this.#stencils = buildStencils(mesh);
  }

  /** Distances from the nearest source; those beyond maxDistance may be too large. */
  spread(sources: ArrayLike<VertexId>, maxDistance: number): Float64Array {
    const heap = this.#heap;
    for (let i = 0; i < sources.length; i++) this.#lower(sources[i]!, 0, sources[i]!);
    for (let v = heap.pop(); v >= 0 && this.#distances[v]! <= maxDistance; v = heap.pop()) this.#leave(v);
    return this.#distances;
  }

  #lower(v: VertexId, distance: number, root: VertexId): void {
    // Gains within rounding are not worth taking a vertex up again.
    if (distance >= this.#distances[v]! * (1 - 1e-12)) return;
    this.#distances[v] = distance;
    this.#roots[v] = root;
    this.#heap.pushOrDecrease(v, distance);
  }

  /** Lowers corner c of a triangle over its side from a to b. */
  #cross(a: VertexId, b: VertexId, c: VertexId, ab: number, ac: number, bc: number): void {
    const da = this.#distances[a]!;
    const db = this.#distances[b]!;
    const rootA = this.#roots[a]!;
    const rootB = this.#roots[b]!;
    if (rootA === rootB) this.#lower(c, crossFromPoint(da, db, ab, ac, bc), rootA);
    else this.#lower(c, crossFromLine(da, db, ab, ac, bc), da + ac <= db + bc ? rootA : rootB);
  }

  #leave(v: VertexId): void {
    const { offsets, firsts, seconds, sides } = this.#stencils;
    const distances = this.#distances;
    const d = distances[v]!;
    const root = this.#roots[v]!;
    for (let i = offsets[v]!; i < offsets[v + 1]!; i++) {
      const a = firsts[i]!;
      const b = seconds[i]!;
      const toA = sides[3 * i]!;
      const toB = sides[3 * i + 1]!;
      this.#lower(a, d + toA, root);
      this.#lower(b, d + toB, root);
      const da = distances[a]!;
      const db = distances[b]!;
      const between = sides[3 * i + 2]!;
      if (da <= d) this.#cross(v, a, b, toA, toB, between);
      else if (db <= d) this.#cross(v, b, a, toB, toA, between);
    }
  }
}

/**
 * Distance of corner c over a triangle whose corners a and b have distances from one source, or Infinity when
 * the straight line from where the source would lie does not enter between them.
 */
function crossFromPoint(da: number, db: number, ab: number, ac: number, bc: number): number {
  if (!(ab > 0)) return Infinity;
  // a is the origin, b on the x axis, c above and the source below it.
  const sourceX = (da * da - db * db + ab * ab) / (2 * ab);
  const sourceSquare = da * da - sourceX * sourceX;
  const cX = (ac * ac - bc * bc + ab * ab) / (2 * ab);
  const cSquare = ac * ac - cX * cX;
  if (sourceSquare < 0 || cSquare <= 0) return Infinity;
  const depth = Math.sqrt(sourceSquare);
  const height = Math.sqrt(cSquare);
  const crossing = (sourceX * height + cX * depth) / (height + depth);
  if (!(crossing >= 0 && crossing <= ab)) return Infinity;
  return Math.hypot(cX - sourceX, height + depth);
}

/** The same for distances from two sources, as along a line of them: the front is straight (Kimmel & Sethian 1998). */
function crossFromLine(da: number, db: number, ab: number, ac: number, bc: number): number {
  const slope = (db - da) / ab;
  if (!(Math.abs(slope) < 1)) return Infinity;
  const cX = (ac * ac - bc * bc + ab * ab) / (2 * ab);
  const cSquare = ac * ac - cX * cX;
  if (cSquare <= 0) return Infinity;
  const cY = Math.sqrt(cSquare);
  const rise = Math.sqrt(1 - slope * slope);
  const crossing = cX - (cY * slope) / rise;
  return crossing >= 0 && crossing <= ab ? da + slope * cX + rise * cY : Infinity;
}

/** Triangles round every vertex v as (first, second) with the sides v–first, v–second, first–second. */
interface Stencils {
  readonly offsets: Int32Array;
  readonly firsts: Int32Array;
  readonly seconds: Int32Array;
  readonly sides: Float64Array;
}

function buildStencils(mesh: Mesh): Stencils {
  const triangles = listTriangles(mesh);
  const positions = computeVertexPositions(mesh);
  const { starts, members } = listMembers(triangles, mesh.vertexCount);
  const firsts = members.map((corner) => triangles[corner % 3 === 2 ? corner - 2 : corner + 1]!);
  const seconds = members.map((corner) => triangles[corner % 3 === 0 ? corner + 2 : corner - 1]!);
  const distance = (a: number, b: number) => {
    const x = positions[3 * a]! - positions[3 * b]!;
    const y = positions[3 * a + 1]! - positions[3 * b + 1]!;
    const z = positions[3 * a + 2]! - positions[3 * b + 2]!;
    return Math.sqrt(x * x + y * y + z * z);
  };
  const sides = new Float64Array(3 * triangles.length);
  members.forEach((corner, i) => {
    sides[3 * i] = distance(triangles[corner]!, firsts[i]!);
    sides[3 * i + 1] = distance(triangles[corner]!, seconds[i]!);
    sides[3 * i + 2] = distance(firsts[i]!, seconds[i]!);
  });
  return { offsets: starts, firsts, seconds, sides };
}

/** The triangles of all faces; quads give those of both diagonals. */
function listTriangles(mesh: Mesh): Int32Array {
  const { triangleVertices, triangleFaces } = triangulateFaces(mesh);
  let quads = 0;
  for (let f = 0; f < mesh.faceCount; f++) if (mesh.faceOffsets[f + 1]! - mesh.faceOffsets[f]! === 4) quads++;
  const all = new Int32Array(triangleVertices.length + 6 * quads);
  all.set(triangleVertices);
  let filled = triangleVertices.length;
  for (let t = 0; t < triangleFaces.length; t++) {
    const f = triangleFaces[t]!;
    if (mesh.faceOffsets[f + 1]! - mesh.faceOffsets[f]! !== 4 || triangleFaces[t + 1] !== f) continue;
    // A quad is listed as (a, b, c), (a, c, d); its other split is (b, c, d), (b, d, a).
    const b = triangleVertices[3 * t + 1]!;
    const d = triangleVertices[3 * t + 5]!;
    all[filled++] = b;
    all[filled++] = triangleVertices[3 * t + 2]!;
    all[filled++] = d;
    all[filled++] = b;
    all[filled++] = d;
    all[filled++] = triangleVertices[3 * t]!;
  }
  return all;
}
