import type { VertexAdjacency, VertexId } from '../mesh/index.js';
import { DisjointSet } from '../structures/index.js';

/** A place where a chart would be stretched or squeezed most, and how far it stands out from its surroundings. */
export interface ReliefSpot {
  readonly vertex: VertexId;
  /** |log scale| at the spot. */
  readonly height: number;
  /** Fall of |log scale| on the way to any higher spot. */
  readonly prominence: number;
  /** Area of the hill above that fall, in the units of the vertex areas. */
  readonly area: number;
}

/** Spots that stand out less than this are noise to everybody. */
const LEAST_PROMINENCE = 0.2;

/** A patch of a mesh, with what is known of the whole. */
export interface ReliefPatch {
  /** The patch's vertices, ascending. */
  readonly vertices: Int32Array;
  readonly adjacency: VertexAdjacency;
  /** Per vertex of the mesh. */
  readonly vertexAreas: Float64Array;
}

/**
 * Peaks of |log scale| by prominence: vertices are added from the highest down, and where two hills meet the
 * lower one's prominence is known. O(n log n).
 *
 * @param logScales - at each of the patch's vertices
 * @param places - scratch, one per vertex of the mesh
 */
export function findReliefSpots(
  { vertices, adjacency, vertexAreas }: ReliefPatch,
  logScales: Float64Array,
  places: Int32Array,
): ReliefSpot[] {
  const { offsets, others } = adjacency;
  const size = vertices.length;
  const heights = logScales.map(Math.abs);
  let rising = 0;
  const order = new Int32Array(size);
  places.fill(-1);
  for (let i = 0; i < size; i++) {
    places[vertices[i]!] = i;
    if (heights[i]! > 0) order[rising++] = i;
  }
  const falling = order.subarray(0, rising).sort((a, b) => heights[b]! - heights[a]! || a - b);
  const hills = new DisjointSet(size);
  const peaks = new Int32Array(size).fill(-1);
  const isAdded = new Uint8Array(size);
  const areas = Float64Array.from(vertices, (v) => vertexAreas[v]!);
  const spots: ReliefSpot[] = [];
  const close = (peak: number, saddle: number) => {
    const prominence = heights[peak]! - saddle;
    if (prominence < LEAST_PROMINENCE) return;
    const area = areas[hills.find(peak)]!;
    spots.push({ vertex: vertices[peak]!, height: heights[peak]!, prominence, area });
  };
  const isHigher = (a: number, b: number) =>
    heights[a]! > heights[b]! || (heights[a] === heights[b] && a < b);
  for (const i of falling) {
    isAdded[i] = 1;
    peaks[i] = i;
    for (let k = offsets[vertices[i]!]!; k < offsets[vertices[i]! + 1]!; k++) {
      const j = places[others[k]!]!;
      if (j < 0 || !isAdded[j]) continue;
      const a = hills.find(i);
      const b = hills.find(j);
      if (a === b) continue;
      const [higher, lower] = isHigher(peaks[a]!, peaks[b]!)
        ? [peaks[a]!, peaks[b]!]
        : [peaks[b]!, peaks[a]!];
      if (lower !== i) close(lower, heights[i]!);
      const area = areas[a]! + areas[b]!;
      hills.union(a, b);
      areas[hills.find(a)] = area;
      peaks[hills.find(a)] = higher;
    }
  }
  for (const i of falling) if (hills.find(i) === i) close(peaks[i]!, 0);
  return spots;
}
