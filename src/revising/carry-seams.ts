import type { Mesh, SeamEdges } from '../mesh/index.js';
import { edgePoints, edgeVertices, headVertex, isBorderVertex, seamMask, tailVertex } from '../mesh/index.js';
import { appendTo, IndexedHeap } from '../structures/index.js';
import type { NearestSurface } from './nearest-surface.js';

/** Seams on the new mesh, one for each old one, and what became of the old edges. */
export interface CarriedSeams {
  /** Point pairs of each seam on the new mesh; empty where nothing of it could be carried. */
  readonly seams: readonly { readonly edges: [number, number][] }[];
  /** Seam edges of the old mesh (seam index and its pair of points) that have no place on the new one. */
  readonly lostEdges: readonly { readonly seam: number; readonly edge: readonly [number, number] }[];
}

/**
 * Carries seams to a mesh of another topology: every old seam vertex goes to the nearest new vertex, and every
 * old edge to the shortest path between its ends that keeps close to it. Spurs that the old seams do not have
 * are pruned.
 */
export function carrySeams(
  from: Mesh,
  seams: readonly SeamEdges[],
  to: Mesh,
  nearest: NearestSurface,
  tolerance: number,
): CarriedSeams {
  const targets = new Map<number, number>();
  const search = new PathSearch(to);
  const isEnd = findEnds(from, seams);
  const keptEnds = new Set<number>();
  const lostEdges: { seam: number; edge: readonly [number, number] }[] = [];
  const pointVertices = findPointVertices(from);
  const target = (point: number) => {
    const vertex = pointVertices[point]!;
    let found = targets.get(vertex);
    if (found === undefined) {
      found = vertex < 0 ? -1 : nearestVertex(from, vertex, to, nearest, tolerance);
      targets.set(vertex, found);
      if (found >= 0 && isEnd[vertex]) keptEnds.add(found);
    }
    return found;
  };
  const paths = seams.map(({ edges }, seam) => {
    const taken = new Set<number>();
    for (const edge of edges) {
      const a = target(edge[0]);
      const b = target(edge[1]);
      const path = a < 0 || b < 0 ? undefined : search.find(a, b, from, edge, tolerance);
      if (path) for (const e of path) taken.add(e);
      else lostEdges.push({ seam, edge });
    }
    return taken;
  });
  prune(to, paths, keptEnds);
  const result = paths.map((taken) => ({
    edges: [...taken].sort((a, b) => a - b).map((e) => edgePoints(to, e)),
  }));
  return { seams: result, lostEdges };
}

/** A vertex of each point, -1 for points without faces. */
function findPointVertices(mesh: Mesh): Int32Array {
  const vertices = new Int32Array(mesh.pointCount).fill(-1);
  for (let c = mesh.cornerCount - 1; c >= 0; c--) vertices[mesh.cornerPoints[c]!] = mesh.cornerVertices[c]!;
  return vertices;
}

/** Marks the vertices where the old seams end: one seam edge, or on a border. */
function findEnds(mesh: Mesh, seams: readonly SeamEdges[]): Uint8Array {
  const isSeam = seamMask(mesh, seams);
  const degrees = new Int32Array(mesh.vertexCount);
  for (let e = 0; e < mesh.edgeCount; e++) {
    if (!isSeam[e]) continue;
    for (const v of edgeVertices(mesh, e)) degrees[v]!++;
  }
  return Uint8Array.from(degrees, (d, v) => (d === 1 || (d > 0 && isBorderVertex(mesh, v)) ? 1 : 0));
}

/** The new vertex nearest to an old one; for an old border vertex a border vertex, if one is as near. */
function nearestVertex(
  from: Mesh,
  vertex: number,
  to: Mesh,
  nearest: NearestSurface,
  tolerance: number,
): number {
  const p = 3 * from.vertexPoints[vertex]!;
  const [x, y, z] = [from.points[p]!, from.points[p + 1]!, from.points[p + 2]!];
  const hit = nearest.find(x, y, z, tolerance);
  if (!hit) return -1;
  const wantsBorder = isBorderVertex(from, vertex);
  let best = -1;
  let least = Infinity;
  let isBestBorder = false;
  for (let h = to.faceOffsets[hit.face]!; h < to.faceOffsets[hit.face + 1]!; h++) {
    const v = to.cornerVertices[h]!;
    const q = 3 * to.vertexPoints[v]!;
    const distance = Math.hypot(to.points[q]! - x, to.points[q + 1]! - y, to.points[q + 2]! - z);
    const isBorder = wantsBorder && isBorderVertex(to, v);
    if (isBorder === isBestBorder ? distance < least : isBorder) {
      best = v;
      least = distance;
      isBestBorder = isBorder;
    }
  }
  return best;
}

/** Removes edges of degree-one spurs, but for the ends that the old seams had. */
function prune(mesh: Mesh, paths: readonly Set<number>[], keptEnds: ReadonlySet<number>): void {
  const edges = new Map<number, Set<number>[]>();
  for (const path of paths) for (const e of path) appendTo(edges, e, path);
  const atVertex = new Map<number, Set<number>>();
  for (const e of edges.keys()) {
    for (const v of edgeVertices(mesh, e)) {
      const list = atVertex.get(v);
      if (list) list.add(e);
      else atVertex.set(v, new Set([e]));
    }
  }
  const queue = [...atVertex.keys()].sort((a, b) => a - b);
  for (let v = queue.pop(); v !== undefined; v = queue.pop()) {
    const around = atVertex.get(v)!;
    if (around.size !== 1 || keptEnds.has(v) || isBorderVertex(mesh, v)) continue;
    const [e] = around;
    for (const owner of edges.get(e!)!) owner.delete(e!);
    for (const w of edgeVertices(mesh, e!)) {
      atVertex.get(w)!.delete(e!);
      queue.push(w);
    }
  }
}

/** Shortest paths on a mesh that keep close to a line. */
class PathSearch {
  readonly #mesh: Mesh;
  readonly #heap: IndexedHeap;
  readonly #costs: Float64Array;
  readonly #arrivals: Int32Array;

  constructor(mesh: Mesh) {
    this.#mesh = mesh;
    this.#heap = new IndexedHeap(mesh.vertexCount);
    this.#costs = new Float64Array(mesh.vertexCount).fill(Infinity);
    this.#arrivals = new Int32Array(mesh.vertexCount).fill(-1);
  }

  /** Edges from a to b near the old edge, or undefined when every way strays further than the tolerance. */
  find(
    a: number,
    b: number,
    from: Mesh,
    edge: readonly [number, number],
    tolerance: number,
  ): number[] | undefined {
    if (a === b) return [];
    const mesh = this.#mesh;
    const reached = [a];
    this.#costs[a] = 0;
    this.#heap.clear();
    this.#heap.pushOrDecrease(a, 0);
    let isFound = false;
    for (let v = this.#heap.pop(); v >= 0; v = this.#heap.pop()) {
      if (v === b) {
        isFound = true;
        break;
      }
      const first = mesh.vertexHalfEdges[v]!;
      let h = first;
      do {
        this.#relax(v, headVertex(mesh, h), h, from, edge, tolerance, reached);
        const back = mesh.prev[h]!;
        if (mesh.twin[back]! < 0)
          this.#relax(v, tailVertex(mesh, back), back, from, edge, tolerance, reached);
        h = mesh.twin[back]!;
      } while (h >= 0 && h !== first);
    }
    const path: number[] = [];
    if (isFound) {
      for (let v = b; v !== a; ) {
        const h = this.#arrivals[v]!;
        path.push(mesh.halfEdgeEdges[h]!);
        v = headVertex(mesh, h) === v ? tailVertex(mesh, h) : headVertex(mesh, h);
      }
    }
    for (const v of reached) {
      this.#costs[v] = Infinity;
      this.#arrivals[v] = -1;
    }
    return isFound ? path : undefined;
  }

  #relax(
    v: number,
    w: number,
    h: number,
    from: Mesh,
    edge: readonly [number, number],
    tolerance: number,
    reached: number[],
  ): void {
    const { points, vertexPoints } = this.#mesh;
    const p = 3 * vertexPoints[v]!;
    const q = 3 * vertexPoints[w]!;
    const length = Math.hypot(
      points[p]! - points[q]!,
      points[p + 1]! - points[q + 1]!,
      points[p + 2]! - points[q + 2]!,
    );
    const astray = distanceToEdge(points, q, from.points, 3 * edge[0], 3 * edge[1]);
    const reach = Math.max(tolerance, distanceBetween(from.points, 3 * edge[0], 3 * edge[1]));
    if (astray > reach) return;
    const cost = this.#costs[v]! + length * (1 + (4 * astray) / reach);
    if (cost >= this.#costs[w]!) return;
    if (this.#costs[w] === Infinity) reached.push(w);
    this.#costs[w] = cost;
    this.#arrivals[w] = h;
    this.#heap.pushOrDecrease(w, cost);
  }
}

function distanceBetween(points: Float64Array, a: number, b: number): number {
  return Math.hypot(
    points[a]! - points[b]!,
    points[a + 1]! - points[b + 1]!,
    points[a + 2]! - points[b + 2]!,
  );
}

function distanceToEdge(points: Float64Array, p: number, others: Float64Array, a: number, b: number): number {
  let along = 0;
  let squared = 0;
  for (let d = 0; d < 3; d++) {
    const e = others[b + d]! - others[a + d]!;
    along += e * (points[p + d]! - others[a + d]!);
    squared += e * e;
  }
  const t = squared > 0 ? Math.min(1, Math.max(0, along / squared)) : 0;
  let sum = 0;
  for (let d = 0; d < 3; d++) {
    const x = points[p + d]! - others[a + d]! - t * (others[b + d]! - others[a + d]!);
    sum += x * x;
  }
  return Math.sqrt(sum);
}
