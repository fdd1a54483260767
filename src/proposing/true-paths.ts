import type { EdgePath } from '../graph/index.js';
import type { EdgeId, FaceId, Mesh, VertexId } from '../mesh/index.js';
import { cutMesh, edgeFaces, edgeVertices, isBorderEdge } from '../mesh/index.js';
import { findSeamArcs, SeamDraft } from '../seams/index.js';
import { DisjointSet } from '../structures/index.js';

export type SeamPath = Omit<EdgePath, 'cost'>;

/** A seam that opens a chart: it joins what would fall apart without it. */
export interface TrueOpening extends SeamPath {
  readonly kind: 'opening';
  /** What it joins: seams and borders of its chart on either end, or the end itself. */
  readonly sources: readonly VertexId[];
  readonly targets: readonly VertexId[];
  readonly chart: number;
}

/** A closed seam between two charts. */
export interface TrueCollar extends SeamPath {
  readonly kind: 'collar';
  readonly isBranch: (f: FaceId) => boolean;
}

/** The seams of a finished character that could have gone another way, and the chart of each face. */
export function findTruePaths(
  mesh: Mesh,
  isSeam: Uint8Array,
): { paths: (TrueOpening | TrueCollar)[]; faceCharts: Int32Array } {
  const { faceCharts } = cutMesh(mesh, isSeam);
  const draft = new SeamDraft(mesh);
  const seamEdges: EdgeId[] = [];
  for (let e = 0; e < mesh.edgeCount; e++) if (isSeam[e]) seamEdges.push(e);
  draft.add(seamEdges, 'kept');
  const paths: (TrueOpening | TrueCollar)[] = [];
  for (const { edges, vertices } of findSeamArcs(mesh, draft)) {
    const [f, g] = edgeFaces(mesh, edges[0]!);
    if (faceCharts[f] !== faceCharts[g]) continue;
    const ends = findEnds(mesh, isSeam, edges, vertices, faceCharts, faceCharts[f]!);
    if (ends)
      paths.push({
        kind: 'opening',
        edges: [...edges],
        vertices: [...vertices],
        ...ends,
        chart: faceCharts[f]!,
      });
  }
  return { paths: [...paths, ...findCollars(mesh, isSeam, faceCharts)], faceCharts };
}

/** Vertices of the chart joined to either end without the arc; undefined when both ends stay joined. */
function findEnds(
  mesh: Mesh,
  isSeam: Uint8Array,
  arc: readonly EdgeId[],
  vertices: readonly VertexId[],
  faceCharts: Int32Array,
  chart: number,
): { sources: VertexId[]; targets: VertexId[] } | undefined {
  const own = new Set(arc);
  const joined = new DisjointSet(mesh.vertexCount);
  for (let e = 0; e < mesh.edgeCount; e++) {
    if (!(isSeam[e] || isBorderEdge(mesh, e)) || own.has(e)) continue;
    const [a, b] = edgeVertices(mesh, e);
    joined.union(a, b);
  }
  const first = joined.find(vertices[0]!);
  const last = joined.find(vertices.at(-1)!);
  if (first === last) return undefined;
  const sources = new Set<VertexId>();
  const targets = new Set<VertexId>();
  for (let c = 0; c < mesh.cornerCount; c++) {
    if (faceCharts[mesh.cornerFaces[c]!] !== chart) continue;
    const v = mesh.cornerVertices[c]!;
    const root = joined.find(v);
    if (root === first) sources.add(v);
    else if (root === last) targets.add(v);
  }
  return { sources: [...sources], targets: [...targets] };
}

/** Seams between two charts that close on themselves, in order. */
function findCollars(mesh: Mesh, isSeam: Uint8Array, faceCharts: Int32Array): TrueCollar[] {
  const between = new Map<string, EdgeId[]>();
  for (let e = 0; e < mesh.edgeCount; e++) {
    const [f, g] = edgeFaces(mesh, e);
    if (!isSeam[e] || g < 0 || faceCharts[f] === faceCharts[g]) continue;
    const key = [faceCharts[f]!, faceCharts[g]!].sort((a, b) => a - b).join();
    const list = between.get(key);
    if (list) list.push(e);
    else between.set(key, [e]);
  }
  const collars: TrueCollar[] = [];
  for (const [key, edges] of between) {
    const branch = Number(key.split(',')[0]);
    const draft = new SeamDraft(mesh);
    draft.add(edges, 'collar');
    for (const { edges: loop, vertices } of findSeamArcs(mesh, draft)) {
      if (vertices[0] !== vertices.at(-1)) continue;
      collars.push({
        kind: 'collar',
        edges: [...loop],
        vertices: [...vertices],
        isBranch: (f) => faceCharts[f] === branch,
      });
    }
  }
  return collars;
}
