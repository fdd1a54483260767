import { listMembers } from '../structures/index.js';
import type { CutMesh } from './cut-mesh.js';
import { isCutHalfEdge, nextBorderHalfEdge } from './cut-mesh.js';

/** One chart of a cut mesh with vertices of its own, ready to be flattened. */
export interface ChartSurface {
  /** The chart's faces, ascending, in the caller's indexing. */
  readonly faces: Int32Array;
  /** First local corner of each face, and the local corner count at the end. */
  readonly faceOffsets: Int32Array;
  /** Local vertex of each local corner, in the topology's orientation. */
  readonly cornerVertices: Int32Array;
  /** The caller's corner (index into faceVertexIndices) of each local corner. */
  readonly corners: Int32Array;
  readonly vertexCount: number;
  /** xyz of the local vertices, 3 × vertexCount, model units. */
  readonly positions: Float64Array;
  /** Topological mesh vertex of each local vertex (a vertex on a seam appears more than once). */
  readonly meshVertices: Int32Array;
  /** Border loops as local vertices, surface on the left; a disk has one. */
  readonly borderLoops: readonly Int32Array[];
}

/** Lists the faces of every chart: those of chart i are `faces[offsets[i]] .. faces[offsets[i + 1] - 1]`, ascending. */
export function groupFacesByChart(cut: Pick<CutMesh, 'faceCharts' | 'chartCount'>): {
  offsets: Int32Array;
  faces: Int32Array;
} {
  const { starts: offsets, members: faces } = listMembers(cut.faceCharts, cut.chartCount);
  return { offsets, faces };
}

/** Extracts every chart of the cut mesh, in chart order. Linear in the size of the mesh. */
export function extractCharts(cut: CutMesh): ChartSurface[] {
  const { offsets, faces } = groupFacesByChart(cut);
  const localVertices = new Int32Array(cut.cutVertexCount).fill(-1);
  return Array.from({ length: cut.chartCount }, (_, i) =>
    extractChart(cut, faces.slice(offsets[i]!, offsets[i + 1]!), localVertices),
  );
}

function extractChart(
  cut: Pick<CutMesh, 'mesh' | 'isSeam' | 'cornerCutVertices'>,
  faces: Int32Array,
  localVertices: Int32Array,
): ChartSurface {
  const { mesh, isSeam, cornerCutVertices } = cut;
  const faceOffsets = new Int32Array(faces.length + 1);
  for (let i = 0; i < faces.length; i++)
    faceOffsets[i + 1] = faceOffsets[i]! + mesh.faceOffsets[faces[i]! + 1]! - mesh.faceOffsets[faces[i]!]!;
  const cornerCount = faceOffsets[faces.length]!;
  const corners = new Int32Array(cornerCount);
  const cornerVertices = new Int32Array(cornerCount);
  const meshVertices: number[] = [];
  let local = 0;
  for (const f of faces) {
    const first = mesh.faceOffsets[f]!;
    let h = first;
    do {
      const cutVertex = cornerCutVertices[h]!;
      if (localVertices[cutVertex]! < 0)
        localVertices[cutVertex] = meshVertices.push(mesh.cornerVertices[h]!) - 1;
      corners[local] = h;
      cornerVertices[local++] = localVertices[cutVertex]!;
      h = mesh.next[h]!;
    } while (h !== first);
  }
  const positions = new Float64Array(3 * meshVertices.length);
  for (let v = 0; v < meshVertices.length; v++) {
    const p = 3 * mesh.vertexPoints[meshVertices[v]!]!;
    positions.set(mesh.points.subarray(p, p + 3), 3 * v);
  }
  const isWalked = new Set<number>();
  const borderLoops: Int32Array[] = [];
  for (const h of corners) {
    if (isWalked.has(h) || !isCutHalfEdge(mesh, isSeam, h)) continue;
    const loop: number[] = [];
    for (let g = h; !isWalked.has(g); g = nextBorderHalfEdge(mesh, isSeam, g)) {
      isWalked.add(g);
      loop.push(localVertices[cornerCutVertices[g]!]!);
    }
    borderLoops.push(Int32Array.from(loop));
  }
  return {
    faces,
    faceOffsets,
    cornerVertices,
    corners,
    vertexCount: meshVertices.length,
    positions,
    meshVertices: Int32Array.from(meshVertices),
    borderLoops,
  };
}
