import type { Vec3 } from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import { computeEdgeLengths, EdgeFinder } from '../mesh/index.js';
import { PROPOSE_DEFAULTS } from '../proposing/index.js';
import type { Job } from './job.js';
import type { MeshCache } from './mesh-cache.js';
import { invalidParams, readNumbers } from './number-arrays.js';
import { readPairs, readProposeOptions } from './propose-job.js';

/** Picks the way of a seam through points in order, as a proposal would lay one through waypoints. */
export function routeForClient({ params, mesh: stored, proposal }: Job, cache: MeshCache): unknown {
  const mesh = cache.mesh(stored!);
  const asked = readProposeOptions(proposal?.options ?? {});
  const up = (params.up ?? asked.up ?? stored!.axes?.up ?? PROPOSE_DEFAULTS.up) as Vec3;
  const front = (params.front ?? asked.front ?? stored!.axes?.front ?? PROPOSE_DEFAULTS.front) as Vec3;
  checkAxes(up, front);
  const stops = readStops(params.points, mesh);
  if (params.closed === true && stops.points.length > 2) {
    stops.points.push(stops.points[0]!);
    stops.vertices.push(stops.vertices[0]!);
  }
  const { canonical, search, exposure } = cache.ground(stored!, JSON.stringify([proposal?.id, up, front]), {
    ...asked,
    up,
    front,
  });
  const toCanonical = new Int32Array(mesh.vertexCount);
  canonical.vertices.forEach((v, i) => {
    toCanonical[v] = i;
  });
  const avoided = avoidedEdges(mesh, params.avoid);
  const lengths = computeEdgeLengths(mesh);
  const edges: number[] = [];
  const vertices: number[] = [stops.points[0]!];
  let length = 0;
  let seen = 0;
  for (let k = 0; k + 1 < stops.points.length; k++) {
    const target = toCanonical[stops.vertices[k + 1]!]!;
    const path = search.find({
      sources: [toCanonical[stops.vertices[k]!]!],
      isTarget: (v) => v === target,
      isEdgeBlocked: (e) => avoided.has(canonical.edges[e]!),
    });
    if (!path) {
      throw invalidParams(
        `points[${k + 1}]`,
        stops.points[k + 1],
        `a point that edges join to point ${stops.points[k]}`,
      );
    }
    path.edges.forEach((canonicalEdge, i) => {
      const e = canonical.edges[canonicalEdge]!;
      const next = mesh.vertexPoints[canonical.vertices[path.vertices[i + 1]!]!]!;
      edges.push(vertices.at(-1)!, next);
      vertices.push(next);
      length += lengths[e]!;
      seen += lengths[e]! * exposure[canonicalEdge]!;
    });
  }
  return {
    edges: Int32Array.from(edges),
    vertices: Int32Array.from(vertices),
    length,
    exposure: seen / length,
  };
}

function checkAxes(up: Vec3, front: Vec3): void {
  for (const [name, axis] of [
    ['up', up],
    ['front', front],
  ] as const) {
    if (axis.length !== 3 || !axis.some((value) => value !== 0)) {
      throw invalidParams(name, axis, 'three numbers, not all 0');
    }
  }
  const across = [
    up[1] * front[2] - up[2] * front[1],
    up[2] * front[0] - up[0] * front[2],
    up[0] * front[1] - up[1] * front[0],
  ];
  if (Math.hypot(...across) < 1e-3 * Math.hypot(...up) * Math.hypot(...front)) {
    throw invalidParams('front', front, 'a direction that is not along up');
  }
}

/** The points with the vertex that each stands for; the answer starts and ends at the lowest of welded points. */
function readStops(value: unknown, mesh: Mesh): { points: number[]; vertices: number[] } {
  const given = readNumbers(value, 'points', { kind: 'int32', least: 0 });
  if (given.length < 2) throw invalidParams('points', `${given.length} points`, 'at least two');
  const pointVertices = new Int32Array(mesh.pointCount).fill(-1);
  for (let c = 0; c < mesh.cornerCount; c++) pointVertices[mesh.cornerPoints[c]!] = mesh.cornerVertices[c]!;
  const vertices = Array.from(given, (point, i) => {
    const v = point < mesh.pointCount ? pointVertices[point]! : -1;
    if (v < 0) throw invalidParams(`points[${i}]`, point, 'a point that some face uses');
    if (i > 0 && v === pointVertices[given[i - 1]!]) {
      throw invalidParams(`points[${i}]`, point, 'another place than the point before');
    }
    return v;
  });
  return { vertices, points: vertices.map((v) => mesh.vertexPoints[v]!) };
}

function avoidedEdges(mesh: Mesh, value: unknown): Set<number> {
  const pairs = readPairs(value, 'avoid') ?? [];
  if (pairs.length === 0) return new Set();
  const finder = new EdgeFinder(mesh);
  return new Set(
    pairs.flatMap(([a, b], i) => {
      const edges = finder.find(a, b);
      if (edges.length === 0)
        throw invalidParams(`avoid[${2 * i}]`, `points ${a} and ${b}`, 'the two ends of an edge');
      return edges;
    }),
  );
}
