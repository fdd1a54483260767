import { addTriangleNormal } from '../math/index.js';
import { listMembers } from '../structures/index.js';

/** A triangle surface in typed arrays: what the searches of this module run on. */
export interface TriangleSurface {
  readonly vertexCount: number;
  readonly triangleCount: number;
  /** xyz, 3 × vertexCount. */
  readonly positions: Float64Array;
  /** Vertices, 3 × triangleCount. */
  readonly triangles: Int32Array;
  /** Triangles at vertex v: `triangleList[triangleOffsets[v]] .. triangleList[triangleOffsets[v + 1] - 1]`. */
  readonly triangleOffsets: Int32Array;
  readonly triangleList: Int32Array;
  /** Neighbours of vertex v, ascending, in the same form. */
  readonly neighbourOffsets: Int32Array;
  readonly neighbours: Int32Array;
  readonly triangleAreas: Float64Array;
  /** A third of the area of the triangles at each vertex. */
  readonly vertexAreas: Float64Array;
  readonly area: number;
}

/** Builds the incidence lists and areas of a triangle surface. Linear. */
export function buildTriangleSurface(positions: Float64Array, triangles: Int32Array): TriangleSurface {
  const vertexCount = positions.length / 3;
  const triangleCount = triangles.length / 3;
  const { offsets: triangleOffsets, list: triangleList } = listTriangles(vertexCount, triangles);
  const triangleAreas = new Float64Array(triangleCount);
  const vertexAreas = new Float64Array(vertexCount);
  let area = 0;
  for (let t = 0; t < triangleCount; t++) {
    const size = triangleArea(positions, triangles, t);
    triangleAreas[t] = size;
    area += size;
    for (let k = 0; k < 3; k++) vertexAreas[triangles[3 * t + k]!]! += size / 3;
  }
  const neighbourOffsets = new Int32Array(vertexCount + 1);
  const neighbours: number[] = [];
  const seen = new Int32Array(vertexCount).fill(-1);
  for (let v = 0; v < vertexCount; v++) {
    const first = neighbours.length;
    for (let i = triangleOffsets[v]!; i < triangleOffsets[v + 1]!; i++) {
      for (let k = 0; k < 3; k++) {
        const w = triangles[3 * triangleList[i]! + k]!;
        if (w === v || seen[w] === v) continue;
        seen[w] = v;
        neighbours.push(w);
      }
    }
    sortTail(neighbours, first);
    neighbourOffsets[v + 1] = neighbours.length;
  }
  return {
    vertexCount,
    triangleCount,
    positions,
    triangles,
    triangleOffsets,
    triangleList,
    neighbourOffsets,
    neighbours: Int32Array.from(neighbours),
    triangleAreas,
    vertexAreas,
    area,
  };
}

/** Triangles at each vertex, ascending. */
export function listTriangles(
  vertexCount: number,
  triangles: Int32Array,
): { offsets: Int32Array; list: Int32Array } {
  const { starts: offsets, members } = listMembers(triangles, vertexCount);
  return { offsets, list: members.map((corner) => Math.floor(corner / 3)) };
}

export function triangleArea(positions: Float64Array, triangles: Int32Array, t: number): number {
  return triangleNormal(positions, triangles, 3 * t)[3];
}

const scratch = new Float64Array(3);

/** Unit normal and area of the triangle whose corners start at `t`; zeros when it has none. */
export function triangleNormal(
  p: Float64Array,
  triangles: Int32Array,
  t: number,
): [number, number, number, number] {
  scratch.fill(0);
  addTriangleNormal(triangles, p, t / 3, scratch, 0);
  const [x, y, z] = scratch as unknown as [number, number, number];
  const twice = Math.sqrt(x * x + y * y + z * z);
  return twice > 0 ? [x / twice, y / twice, z / twice, twice / 2] : [0, 0, 0, 0];
}

/** Insertion sort of the few entries from `first` on. */
function sortTail(values: number[], first: number): void {
  for (let i = first + 1; i < values.length; i++) {
    const value = values[i]!;
    let j = i;
    while (j > first && values[j - 1]! > value) {
      values[j] = values[j - 1]!;
      j--;
    }
    values[j] = value;
  }
}
