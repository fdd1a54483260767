import type { Mesh } from './mesh.js';

/** How one chart hangs together. */
export interface ChartTopology {
  readonly faceCount: number;
  readonly vertexCount: number;
  readonly edgeCount: number;
  /** Closed loops of border edges. */
  readonly borderLoops: number;
  /** V − E + F. */
  readonly eulerCharacteristic: number;
  /** One border loop and V − E + F = 1. */
  readonly isDisk: boolean;
}

/** A mesh opened along a set of edges: which chart each face is in, and the vertices after cutting. */
export interface CutMesh {
  readonly mesh: Mesh;
  /** 1 per edge that is cut; borders of the mesh need not be marked. */
  readonly isSeam: Uint8Array;
  readonly chartCount: number;
  readonly faceCharts: Int32Array;
  /** Vertex of the cut surface at each corner, 0..cutVertexCount-1. */
  readonly cornerCutVertices: Int32Array;
  readonly cutVertexCount: number;
}

/** Opens the mesh along the marked edges. Linear. */
export function cutMesh(mesh: Mesh, isSeam: Uint8Array): CutMesh {
  const { labels: faceCharts, count: chartCount } = labelFaces(mesh, isSeam);
  const { labels: cornerCutVertices, count: cutVertexCount } = labelFans(mesh, isSeam);
  return { mesh, isSeam, chartCount, faceCharts, cornerCutVertices, cutVertexCount };
}

interface Labels {
  readonly labels: Int32Array;
  readonly count: number;
}

/** Numbers the pieces of faces, in the order of their first faces. */
function labelFaces(mesh: Mesh, isSeam: Uint8Array): Labels {
  const { faceCount, faceOffsets, twin, cornerFaces } = mesh;
  const labels = new Int32Array(faceCount).fill(-1);
  const queue = new Int32Array(faceCount);
  let count = 0;
  for (let first = 0; first < faceCount; first++) {
    if (labels[first]! >= 0) continue;
    labels[first] = count;
    queue[0] = first;
    for (let i = 0, found = 1; i < found; i++) {
      const f = queue[i]!;
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++) {
        if (isCutHalfEdge(mesh, isSeam, h)) continue;
        const g = cornerFaces[twin[h]!]!;
        if (labels[g]! >= 0) continue;
        labels[g] = count;
        queue[found++] = g;
      }
    }
    count++;
  }
  return { labels, count };
}

/** Numbers the fans of corners that stay together round a vertex, in the order of their first corners. */
function labelFans(mesh: Mesh, isSeam: Uint8Array): Labels {
  const { cornerCount, cornerVertices, twin, next, prev } = mesh;
  // Away from seams a vertex has one fan.
  const isFixed = markCutVertices(mesh, isSeam);
  const vertexLabels = new Int32Array(mesh.vertexCount).fill(-1);
  const labels = new Int32Array(cornerCount).fill(-1);
  let count = 0;
  for (let first = 0; first < cornerCount; first++) {
    const v = cornerVertices[first]!;
    if (!isFixed[v]) {
      if (vertexLabels[v]! < 0) vertexLabels[v] = count++;
      labels[first] = vertexLabels[v]!;
      continue;
    }
    if (labels[first]! >= 0) continue;
    let h = first;
    while (labels[h]! < 0) {
      labels[h] = count;
      if (!isCutHalfEdge(mesh, isSeam, h)) h = next[twin[h]!]!;
    }
    for (h = prev[first]!; !isCutHalfEdge(mesh, isSeam, h); h = prev[h]!) {
      h = twin[h]!;
      if (labels[h]! >= 0) break;
      labels[h] = count;
    }
    count++;
  }
  return { labels, count };
}

/** Counts of every chart; Euler characteristic and border loops decide whether it is a disk. */
export function measureChartTopology(cut: CutMesh): ChartTopology[] {
  const { mesh, isSeam, chartCount, faceCharts, cornerCutVertices } = cut;
  const faces = new Int32Array(chartCount);
  const edges = new Int32Array(chartCount);
  const vertices = new Int32Array(chartCount);
  const loops = new Int32Array(chartCount);
  const isCounted = new Uint8Array(cut.cutVertexCount);
  for (let f = 0; f < mesh.faceCount; f++) faces[faceCharts[f]!]!++;
  for (let h = 0; h < mesh.cornerCount; h++) {
    const chart = faceCharts[mesh.cornerFaces[h]!]!;
    const v = cornerCutVertices[h]!;
    if (!isCounted[v]) {
      isCounted[v] = 1;
      vertices[chart]!++;
    }
    const t = mesh.twin[h]!;
    if (t < 0 || isSeam[mesh.halfEdgeEdges[h]!] || h < t) edges[chart]!++;
  }
  const isWalked = new Uint8Array(mesh.cornerCount);
  for (let h = 0; h < mesh.cornerCount; h++) {
    if (isWalked[h] || !isCutHalfEdge(mesh, isSeam, h)) continue;
    loops[faceCharts[mesh.cornerFaces[h]!]!]!++;
    for (let g = h; !isWalked[g]; g = nextBorderHalfEdge(mesh, isSeam, g)) isWalked[g] = 1;
  }
  return Array.from({ length: chartCount }, (_, i) => {
    const eulerCharacteristic = vertices[i]! - edges[i]! + faces[i]!;
    return {
      faceCount: faces[i]!,
      vertexCount: vertices[i]!,
      edgeCount: edges[i]!,
      borderLoops: loops[i]!,
      eulerCharacteristic,
      isDisk: eulerCharacteristic === 1 && loops[i] === 1,
    };
  });
}

/** 1 per vertex on a seam or border. */
export function markCutVertices(mesh: Mesh, isSeam: Uint8Array): Uint8Array {
  const { vertexCount, edgeCount, edgeHalfEdges, cornerVertices, next } = mesh;
  const isCut = new Uint8Array(vertexCount);
  for (let e = 0; e < edgeCount; e++) {
    const h = edgeHalfEdges[e]!;
    if (isCutHalfEdge(mesh, isSeam, h)) isCut[cornerVertices[h]!] = isCut[cornerVertices[next[h]!]!] = 1;
  }
  return isCut;
}

/** Whether the half-edge lies on the border of its chart. */
export const isCutHalfEdge = (mesh: Mesh, isSeam: Uint8Array, h: number): boolean =>
  mesh.twin[h]! < 0 || isSeam[mesh.halfEdgeEdges[h]!] === 1;

const names = new WeakMap<CutMesh, readonly string[]>();

/** A text for each chart that tells it, with the seams within it, from all others; worked out once. */
export function nameCharts(cut: CutMesh): readonly string[] {
  let known = names.get(cut);
  if (!known) {
    const { mesh, isSeam, faceCharts, chartCount } = cut;
    const { edgeCount, edgeHalfEdges, twin, cornerFaces } = mesh;
    const borders: number[][] = Array.from({ length: chartCount }, () => []);
    for (let e = 0; e < edgeCount; e++) {
      const h = edgeHalfEdges[e]!;
      if (!isCutHalfEdge(mesh, isSeam, h)) continue;
      borders[faceCharts[cornerFaces[h]!]!]!.push(h);
      if (twin[h]! >= 0) borders[faceCharts[cornerFaces[twin[h]!]!]!]!.push(twin[h]!);
    }
    const firstFaces = new Int32Array(chartCount);
    for (let f = mesh.faceCount - 1; f >= 0; f--) firstFaces[faceCharts[f]!] = f;
    // A chart without a border is told by its first face.
    known = borders.map((border, chart) => border.join() || `closed ${firstFaces[chart]}`);
    names.set(cut, known);
  }
  return known;
}

/** Half-edges that part some faces from what is not among them, or along which the faces are cut; in the faces' order. */
export function listBorder(mesh: Mesh, isSeam: Uint8Array, faces: Int32Array): Int32Array {
  const isInside = new Uint8Array(mesh.faceCount);
  for (const f of faces) isInside[f] = 1;
  const border: number[] = [];
  for (const f of faces)
    for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++)
      if (isCutHalfEdge(mesh, isSeam, h) || !isInside[mesh.cornerFaces[mesh.twin[h]!]!]) border.push(h);
  return Int32Array.from(border);
}

/** The border half-edge after `h` along its chart's border. */
export function nextBorderHalfEdge(mesh: Mesh, isSeam: Uint8Array, h: number): number {
  let g = mesh.next[h]!;
  while (!isCutHalfEdge(mesh, isSeam, g)) g = mesh.next[mesh.twin[g]!]!;
  return g;
}
