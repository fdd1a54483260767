import type { ReviewSet } from '../review/review-model.js';
import type { PageMesh } from './page-mesh.js';

/** Cells along one side of the space that the model fills. */
const CELLS = 64;

/** A coarse stand-in for the surface of a set. */
export interface StandIn {
  /** Places in `mesh.triangles`, three for each triangle that is left. */
  readonly triangles: Uint32Array;
  /** The corner that each corner of the mesh has become. */
  readonly corners: Int32Array;
}

/**
 * A coarse stand-in for a dense surface, to be drawn while it moves: the corners of a chart in one cell of space
 * become one of them, and triangles that shrink to nothing go. Where a cell holds points of several charts all take
 * the same one, so that no gap opens along a seam.
 */
export function findStandIn(mesh: PageMesh, set: ReviewSet): StandIn {
  const { triangles, cornerPoints, cornerFaces, positions } = mesh;
  const isShared = new Uint8Array(mesh.pointCount);
  const pointCharts = new Int32Array(mesh.pointCount).fill(-2);
  cornerPoints.forEach((p, c) => {
    const chart = set.faceCharts[cornerFaces[c]!]!;
    if (pointCharts[p] === -2) pointCharts[p] = chart;
    else if (pointCharts[p] !== chart) isShared[p] = 1;
  });
  const cellOf = (p: number) => {
    let cell = 0;
    for (let k = 0; k < 3; k++)
      cell =
        cell * CELLS +
        Math.min(CELLS - 1, Math.max(0, Math.floor(((positions[3 * p + k]! + 1) / 2) * CELLS)));
    return cell;
  };
  const clusters = new Int32Array(triangles.length);
  const ids = new Map<number, number>();
  /** Place in `triangles` that stands for each cluster. */
  const chosen: number[] = [];
  const rank = (i: number) => {
    const p = cornerPoints[triangles[i]!]!;
    return isShared[p] ? p : p + mesh.pointCount;
  };
  for (let i = 0; i < triangles.length; i++) {
    const corner = triangles[i]!;
    const key =
      cellOf(cornerPoints[corner]!) * (set.charts.length + 1) + set.faceCharts[cornerFaces[corner]!]! + 1;
    let id = ids.get(key);
    if (id === undefined) {
      id = chosen.push(i) - 1;
      ids.set(key, id);
    } else if (rank(i) < rank(chosen[id]!)) chosen[id] = i;
    clusters[i] = id;
  }
  const left: number[] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [clusters[t]!, clusters[t + 1]!, clusters[t + 2]!];
    if (a !== b && b !== c && c !== a) left.push(chosen[a]!, chosen[b]!, chosen[c]!);
  }
  const corners = Int32Array.from(cornerPoints, (_, c) => c);
  for (let i = 0; i < triangles.length; i++) corners[triangles[i]!] = triangles[chosen[clusters[i]!]!]!;
  return { triangles: Uint32Array.from(left), corners };
}
