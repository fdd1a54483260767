import type { Mesh } from '../mesh/index.js';
import { computeFaceGeometry } from '../mesh/index.js';
import type { NearestSurface } from './nearest-surface.js';

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
  for (let f = 0; f < to.faceCount; f++) {
    const [mx, my, mz] = [faceCentroids[3 * f]!, faceCentroids[3 * f + 1]!, faceCentroids[3 * f + 2]!];
    const middle = nearest.find(mx, my, mz, tolerance);
    if (!middle) {
      unmatchedFaces.push(f);
      continue;
    }
    const chart = faceCharts[middle.face]!;
    const isInChart = (face: number) => faceCharts[face] === chart;
    for (let c = to.faceOffsets[f]!; c < to.faceOffsets[f + 1]!; c++) {
      const p = 3 * to.cornerPoints[c]!;
      const [x, y, z] = [to.points[p]!, to.points[p + 1]!, to.points[p + 2]!];
      const hit =
        nearest.find(
          x + INWARD * (mx - x),
          y + INWARD * (my - y),
          z + INWARD * (mz - z),
          2 * tolerance,
          isInChart,
        ) ?? middle;
      const weights = nearest.closestWeights(hit.triangle, x, y, z);
      let u = 0;
      let v = 0;
      for (let k = 0; k < 3; k++) {
        const corner = cornerAt(from, hit.face, triangleVertices[3 * hit.triangle + k]!);
        u += weights[k]! * uvs[2 * corner]!;
        v += weights[k]! * uvs[2 * corner + 1]!;
      }
      result[2 * c] = u;
      result[2 * c + 1] = v;
    }
    const density = uvArea(from, middle.face, uvs) / old.faceAreas[middle.face]!;
    const area = uvArea(to, f, result);
    const expected = density * faceAreas[f]!;
    if (Number.isFinite(expected) && !(area * AREA_FACTOR > expected && area < AREA_FACTOR * expected))
      doubtfulFaces.push(f);
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
