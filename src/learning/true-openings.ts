import { traceSeams } from '../graph/index.js';
import type { EdgeId, Mesh, VertexId } from '../mesh/index.js';
import { cutMesh, edgeFaces, edgeVertices, isBorderEdge } from '../mesh/index.js';
import { DisjointSet } from '../structures/index.js';

/** A seam within a chart, between ends that nothing else joins. */
export interface TrueOpening {
  readonly edges: readonly EdgeId[];
  readonly chart: number;
  /** Vertices of the chart on seams and borders that hang together with either end. */
  readonly sources: readonly VertexId[];
  readonly targets: readonly VertexId[];
}

/** The seams of a finished character that open its charts, and the chart of each face. */
export function findTrueOpenings(
  mesh: Mesh,
  isSeam: Uint8Array,
): { readonly openings: readonly TrueOpening[]; readonly faceCharts: Int32Array } {
  const { faceCharts } = cutMesh(mesh, isSeam);
  const { arcs } = traceSeams(mesh, isSeam);
  const openings = arcs.flatMap(({ edges, vertices }): TrueOpening[] => {
    const [f, g] = edgeFaces(mesh, edges[0]!);
    const chart = faceCharts[f]!;
    if (chart !== faceCharts[g]) return [];
    const joined = joinSeams(mesh, isSeam, new Set(edges));
    const first = joined.find(vertices[0]!);
    const last = joined.find(vertices.at(-1)!);
    if (first === last) return [];
    const chartVertices = new Set<VertexId>();
    for (let c = 0; c < mesh.cornerCount; c++)
      if (faceCharts[mesh.cornerFaces[c]!] === chart) chartVertices.add(mesh.cornerVertices[c]!);
    const sources = [...chartVertices].filter((v) => joined.find(v) === first);
    const targets = [...chartVertices].filter((v) => joined.find(v) === last);
    return [{ edges: [...edges], chart, sources, targets }];
  });
  return { openings, faceCharts };
}

/** What hangs together along seams and borders, but for some edges. */
function joinSeams(mesh: Mesh, isSeam: Uint8Array, without: ReadonlySet<EdgeId>): DisjointSet {
  const joined = new DisjointSet(mesh.vertexCount);
  for (let e = 0; e < mesh.edgeCount; e++) {
    if (without.has(e) || !(isSeam[e] || isBorderEdge(mesh, e))) continue;
    const [a, b] = edgeVertices(mesh, e);
    joined.union(a, b);
  }
  return joined;
}
