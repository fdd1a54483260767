import type { Mesh, VertexId } from '../mesh/index.js';
import { buildVertexAdjacency } from '../mesh/index.js';
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

/**
 * Peaks of |log scale| by prominence, highest first: vertices are added from the highest down, and where two
 * hills meet the lower one's prominence is known. O(n log n).
 */
export function findReliefSpots(
  mesh: Mesh,
  vertexScales: Float64Array,
  vertexAreas: Float64Array,
  minProminence: number,
): ReliefSpot[] {
  const heights = vertexScales.map(Math.abs);
  const order: number[] = [];
  for (let v = 0; v < mesh.vertexCount; v++) if (heights[v]! > 0) order.push(v);
  order.sort((a, b) => heights[b]! - heights[a]! || a - b);
  const { offsets, others } = buildVertexAdjacency(mesh);
  const hills = new DisjointSet(mesh.vertexCount);
  const peaks = new Int32Array(mesh.vertexCount).fill(-1);
  const isAdded = new Uint8Array(mesh.vertexCount);
  const areas = vertexAreas.slice();
  const spots: ReliefSpot[] = [];
  const close = (peak: number, saddle: number) => {
    const prominence = heights[peak]! - saddle;
    if (prominence >= minProminence) {
      spots.push({ vertex: peak, height: heights[peak]!, prominence, area: areas[hills.find(peak)]! });
    }
  };
  for (const v of order) {
    isAdded[v] = 1;
    peaks[v] = v;
    for (let i = offsets[v]!; i < offsets[v + 1]!; i++) {
      if (!isAdded[others[i]!]) continue;
      const a = hills.find(v);
      const b = hills.find(others[i]!);
      if (a === b) continue;
      const [higher, lower] = isBefore(heights, peaks[a]!, peaks[b]!)
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
  return spots.sort((a, b) => b.height - a.height || a.vertex - b.vertex);
}

const isBefore = (heights: Float64Array, a: number, b: number): boolean =>
  heights[a]! > heights[b]! || (heights[a] === heights[b] && a < b);
