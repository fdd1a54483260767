import type { EdgeId, Mesh, VertexId } from '../mesh/index.js';
import { cutMesh, edgeFaces, edgeVertices, isBorderEdge } from '../mesh/index.js';
import { findSeamArcs, SeamDraft } from '../seams/index.js';
import { DisjointSet } from '../structures/index.js';

/** A seam within a chart: it joins what would fall apart without it. */
export interface TrueOpening {
  readonly kind: 'opening';
  readonly edges: readonly EdgeId[];
  readonly chart: number;
  /** Vertices of the chart on seams and borders that hang together with either end. */
  readonly sources: readonly VertexId[];
  readonly targets: readonly VertexId[];
}

/** A closed seam between two charts. */
export interface TrueCollar {
  readonly kind: 'collar';
  readonly edges: readonly EdgeId[];
  readonly vertices: readonly VertexId[];
  /** The chart on one side. */
  readonly chart: number;
}

export type TrueSeam = TrueOpening | TrueCollar;

/** The seams of a finished character that could have gone another way, and the chart of each face. */
export function findTrueSeams(
  mesh: Mesh,
  isSeam: Uint8Array,
): { readonly seams: readonly TrueSeam[]; readonly faceCharts: Int32Array } {
  const { faceCharts } = cutMesh(mesh, isSeam);
  const openings = listArcs(mesh, (e) => isSeam[e] === 1).flatMap(({ edges, vertices }): TrueOpening[] => {
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
    return [{ kind: 'opening', edges, chart, sources, targets }];
  });
  return { seams: [...openings, ...findCollars(mesh, isSeam, faceCharts)], faceCharts };
}

const listArcs = (mesh: Mesh, isChosen: (e: EdgeId) => boolean) => {
  const draft = new SeamDraft(mesh);
  for (let e = 0; e < mesh.edgeCount; e++) if (isChosen(e)) draft.add([e], 'kept');
  return findSeamArcs(mesh, draft);
};

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

function findCollars(mesh: Mesh, isSeam: Uint8Array, faceCharts: Int32Array): TrueCollar[] {
  const between = new Map<string, Set<EdgeId>>();
  for (let e = 0; e < mesh.edgeCount; e++) {
    if (!isSeam[e] || isBorderEdge(mesh, e)) continue;
    const [f, g] = edgeFaces(mesh, e).map((face) => faceCharts[face]!) as [number, number];
    if (f === g) continue;
    const key = `${Math.min(f, g)} ${Math.max(f, g)}`;
    const edges = between.get(key);
    if (edges) edges.add(e);
    else between.set(key, new Set([e]));
  }
  return [...between].flatMap(([key, chosen]) =>
    listArcs(mesh, (e) => chosen.has(e))
      .filter(({ vertices }) => vertices[0] === vertices.at(-1))
      .map(
        ({ edges, vertices }): TrueCollar => ({
          kind: 'collar',
          edges,
          vertices,
          chart: Number.parseInt(key, 10),
        }),
      ),
  );
}
