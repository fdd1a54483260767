import type { ChartSurface } from '../mesh/index.js';
import { DisjointSet } from '../structures/index.js';

/** A place where a chart would be stretched or squeezed most, and how far it stands out from its surroundings. */
export interface ReliefSpot {
  readonly vertex: number;
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
 * Peaks of |log scale| by prominence, in local vertices: vertices are added from the highest down, and where
 * two hills meet the lower one's prominence is known. O(n log n).
 */
export function findReliefSpots(
  surface: ChartSurface,
  logScales: Float64Array,
  vertexAreas: Float64Array,
): ReliefSpot[] {
  const { vertexCount } = surface;
  const heights = logScales.map(Math.abs);
  const order = heights.reduce<number[]>((list, height, v) => {
    if (height > 0) list.push(v);
    return list;
  }, []);
  order.sort((a, b) => heights[b]! - heights[a]! || a - b);
  const { offsets, others } = listNeighbours(surface);
  const hills = new DisjointSet(vertexCount);
  const peaks = new Int32Array(vertexCount).fill(-1);
  const isAdded = new Uint8Array(vertexCount);
  const areas = vertexAreas.slice();
  const spots: ReliefSpot[] = [];
  const close = (peak: number, saddle: number) => {
    const prominence = heights[peak]! - saddle;
    if (prominence >= LEAST_PROMINENCE) {
      spots.push({ vertex: peak, height: heights[peak]!, prominence, area: areas[hills.find(peak)]! });
    }
  };
  const isHigher = (a: number, b: number) =>
    heights[a]! > heights[b]! || (heights[a] === heights[b] && a < b);
  for (const v of order) {
    isAdded[v] = 1;
    peaks[v] = v;
    for (let i = offsets[v]!; i < offsets[v + 1]!; i++) {
      if (!isAdded[others[i]!]) continue;
      const a = hills.find(v);
      const b = hills.find(others[i]!);
      if (a === b) continue;
      const [higher, lower] = isHigher(peaks[a]!, peaks[b]!)
        ? [peaks[a]!, peaks[b]!]
        : [peaks[b]!, peaks[a]!];
      if (lower !== v) close(lower, heights[v]!);
      const area = areas[a]! + areas[b]!;
      hills.union(a, b);
      areas[hills.find(a)] = area;
      peaks[hills.find(a)] = higher;
    }
  }
  for (const v of order) if (hills.find(v) === v) close(peaks[v]!, 0);
  return spots;
}

/** Neighbours of every local vertex along face sides; inner sides are listed twice, which does no harm. */
function listNeighbours(surface: ChartSurface): { offsets: Int32Array; others: Int32Array } {
  const { vertexCount, faceOffsets, cornerVertices } = surface;
  const offsets = new Int32Array(vertexCount + 1);
  for (const v of cornerVertices) offsets[v + 1]! += 2;
  for (let v = 0; v < vertexCount; v++) offsets[v + 1]! += offsets[v]!;
  const fill = offsets.slice(0, vertexCount);
  const others = new Int32Array(2 * cornerVertices.length);
  for (let f = 0; f + 1 < faceOffsets.length; f++) {
    for (let c = faceOffsets[f]!; c < faceOffsets[f + 1]!; c++) {
      const a = cornerVertices[c]!;
      const b = cornerVertices[c + 1 === faceOffsets[f + 1]! ? faceOffsets[f]! : c + 1]!;
      others[fill[a]!++] = b;
      others[fill[b]!++] = a;
    }
  }
  return { offsets, others };
}
