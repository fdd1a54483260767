import type { Mesh } from '../mesh/index.js';
import { computeFaceGeometry } from '../mesh/index.js';
import type { NearestSurface, SurfacePoint } from './nearest-surface.js';

/** UVs on the new mesh, and the faces where they cannot be trusted. */
export interface CarriedUvs {
  /** uv of every corner of the new mesh, 2 × cornerCount; NaN where nothing is near. */
  readonly uvs: Float64Array;
  /** Faces of the new mesh with no old surface near them. */
  readonly unmatchedFaces: readonly number[];
  /** Faces whose carried UVs are turned over or far off in size: most lie across an old seam. */
  readonly doubtfulFaces: readonly number[];
}

/** A corner is looked up this share of the way to its face's middle, to stay on its own side of a seam. */
const INWARD = 0.2;
/** UVs that jump this many times further than the surface lie on two sides of a cut. */
const JUMP = 4;
/** A face whose texel area is off by more than this factor, against its old surface, is doubtful. */
const AREA_FACTOR = 3;

/**
 * Carries UVs to a mesh of another topology: every new face takes the chart of the old face nearest to its
 * middle, and every corner the UV of the nearest point of that chart.
 *
 * @param uvs - uv of every corner of the old mesh
 * @param faceCharts - chart of every face of the old mesh
 */
export function carryUvs(
  from: Mesh,
  uvs: ArrayLike<number>,
  faceCharts: Int32Array,
  to: Mesh,
  nearest: NearestSurface,
  tolerance: number,
): CarriedUvs {
  const result = new Float64Array(2 * to.cornerCount).fill(Number.NaN);
  const unmatchedFaces: number[] = [];
  const doubtfulFaces: number[] = [];
  const { faceCentroids, faceAreas } = computeFaceGeometry(to);
  const old = computeFaceGeometry(from);
  const { triangleVertices } = nearest.triangles;
  const uvAt = ({ face, triangle }: SurfacePoint, weights: readonly number[]): readonly [number, number] => {
    let u = 0;
    let v = 0;
    for (let k = 0; k < 3; k++) {
      const corner = cornerAt(from, face, triangleVertices[3 * triangle + k]!);
      u += weights[k]! * uvs[2 * corner]!;
      v += weights[k]! * uvs[2 * corner + 1]!;
    }
    return [u, v];
  };
  for (let f = 0; f < to.faceCount; f++) {
    const [mx, my, mz] = [faceCentroids[3 * f]!, faceCentroids[3 * f + 1]!, faceCentroids[3 * f + 2]!];
    const middle = nearest.find(mx, my, mz, tolerance);
    if (!middle) {
      unmatchedFaces.push(f);
      continue;
    }
    const chart = faceCharts[middle.face]!;
    const density = uvArea(from, middle.face, uvs) / old.faceAreas[middle.face]!;
    const isInChart = (face: number) => faceCharts[face] === chart;
    for (let c = to.faceOffsets[f]!; c < to.faceOffsets[f + 1]!; c++) {
      const p = 3 * to.cornerPoints[c]!;
      const [x, y, z] = [to.points[p]!, to.points[p + 1]!, to.points[p + 2]!];
      const [ix, iy, iz] = [x + INWARD * (mx - x), y + INWARD * (my - y), z + INWARD * (mz - z)];
      const inner = nearest.find(ix, iy, iz, 2 * tolerance, isInChart) ?? middle;
      const own = uvAt(inner, nearest.closestWeights(inner.triangle, x, y, z));
      const hit = nearest.find(x, y, z, 2 * tolerance, isInChart);
      const there = hit ? uvAt(hit, hit.weights) : own;
      // The nearest point itself, unless it lies on the far side of a cut.
      const reach = JUMP * Math.sqrt(Math.abs(density)) * Math.hypot(ix - x, iy - y, iz - z);
      const [u, v] = Math.hypot(there[0] - own[0], there[1] - own[1]) <= reach ? there : own;
      result[2 * c] = u;
      result[2 * c + 1] = v;
    }
    const ratio = uvArea(to, f, result) / (density * faceAreas[f]!);
    if (ratio < 1 / AREA_FACTOR || ratio > AREA_FACTOR) doubtfulFaces.push(f);
  }
  return { uvs: result, unmatchedFaces, doubtfulFaces };
}

function cornerAt(mesh: Mesh, face: number, vertex: number): number {
  for (let c = mesh.faceOffsets[face]!; c < mesh.faceOffsets[face + 1]!; c++)
    if (mesh.cornerVertices[c] === vertex) return c;
  return mesh.faceOffsets[face]!;
}

/** Signed area of a face in UV space, in the topology's orientation. */
function uvArea(mesh: Mesh, face: number, uvs: ArrayLike<number>): number {
  const first = mesh.faceOffsets[face]!;
  let area = 0;
  let c = first;
  do {
    const n = mesh.next[c]!;
    area += (uvs[2 * c]! * uvs[2 * n + 1]! - uvs[2 * n]! * uvs[2 * c + 1]!) / 2;
    c = n;
  } while (c !== first);
  return area;
}
