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

/**
 * Peaks of |log scale| by prominence: vertices are added from the highest down, and where two hills meet the
 * lower one's prominence is known. O(n log n).
 *
 * @param heights - |log scale| at each vertex, 0 where it is held
 */
export function findReliefSpots(
  { offsets, others }: VertexAdjacency,
  vertexAreas: Float64Array,
  heights: Float64Array,
): ReliefSpot[] {
  const size = heights.length;
  const falling = Int32Array.from(heights.keys())
    .filter((v) => heights[v]! > 0)
    .sort((a, b) => heights[b]! - heights[a]! || a - b);
  const hills = new DisjointSet(size);
  const peaks = new Int32Array(size).fill(-1);
  const isAdded = new Uint8Array(size);
  const areas = vertexAreas.slice();
  const spots: ReliefSpot[] = [];
  const close = (peak: number, saddle: number) => {
    const prominence = heights[peak]! - saddle;
    if (prominence < LEAST_PROMINENCE) return;
    const area = areas[hills.find(peak)]!;
    spots.push({ vertex: peak, height: heights[peak]!, prominence, area });
  };
  const isHigher = (a: number, b: number) =>
    heights[a]! > heights[b]! || (heights[a] === heights[b] && a < b);
  for (const i of falling) {
    isAdded[i] = 1;
    peaks[i] = i;
    for (let k = offsets[i]!; k < offsets[i + 1]!; k++) {
      const j = others[k]!;
      if (!isAdded[j]) continue;
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
