import { growDistances } from '../graph/index.js';
import type { EdgeId, Mesh } from '../mesh/index.js';
import {
  buildVertexAdjacency,
  cutMesh,
  edgeFaces,
  edgeVertices,
  findBorderLoops,
  isBorderEdge,
  measureChartTopology,
} from '../mesh/index.js';
import { DisjointSet } from '../structures/index.js';

/**
 * Edges that open every handle of a mesh: shells of genus g become planar along 2g loops, as short as a
 * tree of cheapest paths allows. Shells without handles are left alone.
 *
 * Reference: Erickson & Whittlesey 2005, "Greedy optimal homotopy and homology generators"; borders are
 * closed by a virtual face each. O(n log n).
 */
export function cutHandles(mesh: Mesh, edgeCosts: Float64Array): EdgeId[] {
  const genera = shellGenera(mesh);
  if (genera.every((genus) => genus === 0)) return [];
  const tree = growDistances(mesh, cheapestVertices(mesh, edgeCosts, genera), edgeCosts);
  const isInTree = new Uint8Array(mesh.edgeCount);
  for (const e of tree.parentEdges) if (e >= 0) isInTree[e] = 1;

  const loopOf = new Int32Array(mesh.edgeCount).fill(-1);
  const loops = findBorderLoops(mesh);
  loops.forEach((loop, i) => {
    for (const h of loop) loopOf[mesh.halfEdgeEdges[h]!] = mesh.faceCount + i;
  });
  const candidates: EdgeId[] = [];
  const loopCosts = new Float64Array(mesh.edgeCount);
  for (let e = 0; e < mesh.edgeCount; e++) {
    if (isInTree[e] || genera[mesh.faceShells[edgeFaces(mesh, e)[0]]!] === 0) continue;
    const [a, b] = edgeVertices(mesh, e);
    loopCosts[e] = tree.distances[a]! + edgeCosts[e]! + tree.distances[b]!;
    candidates.push(e);
  }
  candidates.sort((a, b) => loopCosts[b]! - loopCosts[a]! || a - b);
  const cotree = new DisjointSet(mesh.faceCount + loops.length);
  const isCut = new Uint8Array(mesh.edgeCount);
  for (const e of candidates) {
    const [f, g] = edgeFaces(mesh, e);
    if (cotree.union(f, g < 0 ? loopOf[e]! : g)) continue;
    isCut[e] = 1;
    for (let v of edgeVertices(mesh, e)) {
      while (tree.parentEdges[v]! >= 0) {
        isCut[tree.parentEdges[v]!] = 1;
        v = tree.parentVertices[v]!;
      }
    }
  }
  trimLooseEnds(mesh, isCut);
  const edges: EdgeId[] = [];
  for (let e = 0; e < mesh.edgeCount; e++) if (isCut[e] && !isBorderEdge(mesh, e)) edges.push(e);
  return edges;
}

/** Genus of every shell, from V − E + F = 2 − 2g − b. */
export function shellGenera(mesh: Mesh): number[] {
  // Without seams the charts are the shells, in their order.
  return measureChartTopology(cutMesh(mesh, new Uint8Array(mesh.edgeCount))).map(
    ({ eulerCharacteristic, borderLoops }) => (2 - eulerCharacteristic - borderLoops) / 2,
  );
}

/** A root for each shell with handles: an end of its cheapest edge. */
function cheapestVertices(mesh: Mesh, edgeCosts: Float64Array, genera: readonly number[]): number[] {
  const best = new Int32Array(mesh.shellCount).fill(-1);
  for (let e = 0; e < mesh.edgeCount; e++) {
    const shell = mesh.faceShells[edgeFaces(mesh, e)[0]]!;
    if (best[shell]! < 0 || edgeCosts[e]! < edgeCosts[best[shell]!]!) best[shell] = e;
  }
  return [...best].filter((_, shell) => genera[shell]! > 0).map((e) => edgeVertices(mesh, e)[0]);
}

/** Unmarks edges that end in a vertex where nothing else is marked, until none is left. */
export function trimLooseEnds(mesh: Mesh, isMarked: Uint8Array): void {
  const { offsets, edges, others } = buildVertexAdjacency(mesh);
  const degrees = new Int32Array(mesh.vertexCount);
  for (let e = 0; e < mesh.edgeCount; e++)
    if (isMarked[e]) for (const v of edgeVertices(mesh, e)) degrees[v]!++;
  const loose: number[] = [];
  for (let v = 0; v < mesh.vertexCount; v++) if (degrees[v] === 1) loose.push(v);
  for (let v = loose.pop(); v !== undefined; v = loose.pop()) {
    for (let i = offsets[v]!; i < offsets[v + 1]!; i++) {
      if (!isMarked[edges[i]!]) continue;
      isMarked[edges[i]!] = 0;
      degrees[v]!--;
      if (--degrees[others[i]!]! === 1) loose.push(others[i]!);
    }
  }
}
