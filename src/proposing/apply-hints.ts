import { InvalidOptionError } from '../errors.js';
import { buildSpokes, FlowSearch } from '../graph/index.js';
import type { CanonicalMesh, EdgeId, Mesh, VertexId } from '../mesh/index.js';
import {
  computeCornerAngles,
  computeFaceGeometry,
  EdgeFinder,
  edgeFaces,
  isBorderEdge,
} from '../mesh/index.js';
import type { SeamGround } from '../seams/index.js';
import type { Conflict } from './proposal.js';
import type { SeamHints } from './propose-options.js';
import { isUvSeam } from './uv-seams.js';

/** Hints brought to the canonical mesh. */
export interface PlacedHints {
  /** Edges that are always cut. */
  readonly kept: readonly EdgeId[];
  /** 1 per edge to be avoided. */
  readonly isAvoided: Uint8Array;
  /** Factor on the cost of each edge. */
  readonly edgeFactors: Float64Array;
}

/** Cost factor of an avoided edge: dearer than any detour, yet finite, so that a disk can always be had. */
const AVOIDED_FACTOR = 1e4;
/** Paint of 1 makes a seam this much dearer, paint of 0 this much cheaper. */
const PAINT_STRENGTH = 10;

/** Brings everything but waypoints, which need costs, to the canonical mesh. @throws HINT_INVALID */
export function placeHints(source: Mesh, canonical: CanonicalMesh, hints: SeamHints): PlacedHints {
  const { mesh } = canonical;
  const toCanonical = new Int32Array(source.edgeCount);
  canonical.edges.forEach((e, i) => {
    toCanonical[e] = i;
  });
  const finder = new EdgeFinder(source);
  const findEdges = (name: string, pairs: SeamHints['keep']): EdgeId[] =>
    (pairs ?? []).flatMap(([a, b], i) => {
      const edges = finder.find(a, b);
      if (edges.length === 0) {
        throw new InvalidOptionError(
          'HINT_INVALID',
          `proposeSeams: hint ${name}[${i}] is invalid, got points ${a} and ${b}, expected the two ends of an edge`,
          { hint: name, points: [a, b] },
        );
      }
      return edges.map((e) => toCanonical[e]!);
    });
  const kept = new Set<EdgeId>(findEdges('keep', hints.keep));
  const keepWhere = (isKept: (e: EdgeId) => boolean) => {
    for (let e = 0; e < source.edgeCount; e++)
      if (!isBorderEdge(source, e) && isKept(e)) kept.add(toCanonical[e]!);
  };
  const isSettled = new Uint8Array(source.faceCount);
  for (const f of hints.settled?.faces ?? []) isSettled[f] = 1;
  const touchesSettled = (e: EdgeId) =>
    edgeFaces(mesh, e).some((f) => f >= 0 && isSettled[canonical.faces[f]!] === 1);
  const settledCuts = new Set(findEdges('settled.edges', hints.settled?.edges).filter(touchesSettled));
  for (const e of settledCuts) kept.add(e);
  if (hints.existingUvs) keepWhere((e) => isUvSeam(source, hints.existingUvs!, e));
  if (hints.faceGroups) {
    const groups = new Int32Array(source.faceCount).fill(-1);
    hints.faceGroups.forEach((faces, i) => {
      for (const f of faces) groups[f] = i;
    });
    keepWhere((e) => {
      const [f, g] = edgeFaces(source, e);
      return groups[f] !== groups[g];
    });
  }
  if (hints.hardEdgeAngle !== undefined) {
    const { faceNormals } = computeFaceGeometry(source);
    const limit = Math.cos((hints.hardEdgeAngle * Math.PI) / 180);
    keepWhere((e) => {
      const [f, g] = edgeFaces(source, e);
      let cosine = 0;
      for (let k = 0; k < 3; k++) cosine += faceNormals[3 * f + k]! * faceNormals[3 * g + k]!;
      return cosine < limit;
    });
  }
  const isAvoided = new Uint8Array(mesh.edgeCount);
  for (const e of findEdges('avoid', hints.avoid)) isAvoided[e] = 1;
  const isAvoidedFace = new Uint8Array(source.faceCount);
  for (const f of hints.avoidFaces ?? []) isAvoidedFace[f] = 1;
  const edgeFactors = new Float64Array(mesh.edgeCount).fill(1);
  const hasFaceHints = hints.paint !== undefined || (hints.avoidFaces?.length ?? 0) > 0;
  for (let e = 0; e < mesh.edgeCount; e++) {
    const faces = hasFaceHints
      ? edgeFaces(mesh, e)
          .filter((f) => f >= 0)
          .map((f) => canonical.faces[f]!)
      : [];
    if (faces.some((f) => isAvoidedFace[f])) isAvoided[e] = 1;
    if (hints.settled && touchesSettled(e) && !settledCuts.has(e)) isAvoided[e] = 1;
    if (hints.paint) {
      let paint = 0;
      for (const f of faces) paint += hints.paint[f]! / faces.length;
      edgeFactors[e] = PAINT_STRENGTH ** (2 * paint - 1);
    }
    if (isAvoided[e]) edgeFactors[e]! *= AVOIDED_FACTOR;
  }
  return { kept: [...kept].sort((a, b) => a - b), isAvoided, edgeFactors };
}

/** Routes whose costs differ by less than this share are a tie. */
const TIE_SHARE = 0.02;

/** Lays seams through the chains of waypoints; a tie between two routes is reported. @throws HINT_INVALID */
export function routeWaypoints(
  source: Mesh,
  canonical: CanonicalMesh,
  ground: SeamGround,
  chains: NonNullable<SeamHints['waypoints']>,
): { edges: EdgeId[]; conflicts: Conflict[] } {
  const { mesh } = canonical;
  if (chains.length === 0) return { edges: [], conflicts: [] };
  // A point where shells or fans of faces only touch is several vertices.
  const verticesOfPoint = new Map<number, Set<VertexId>>();
  const toCanonical = new Int32Array(source.vertexCount);
  canonical.vertices.forEach((v, i) => {
    toCanonical[v] = i;
  });
  for (let c = 0; c < source.cornerCount; c++) {
    const point = source.cornerPoints[c]!;
    let vertices = verticesOfPoint.get(point);
    if (!vertices) {
      vertices = new Set();
      verticesOfPoint.set(point, vertices);
    }
    vertices.add(toCanonical[source.cornerVertices[c]!]!);
  }
  const search = new FlowSearch(buildSpokes(mesh, computeCornerAngles(mesh)), ground.edgeCosts);
  const edges: EdgeId[] = [];
  const conflicts: Conflict[] = [];
  chains.forEach((chain, i) => {
    for (let k = 0; k + 1 < chain.length; k++) {
      const hint = `waypoints[${i}][${k}..${k + 1}]`;
      const from = verticesOfPoint.get(chain[k]!) ?? new Set();
      const to = verticesOfPoint.get(chain[k + 1]!) ?? new Set();
      const sources = [...from].sort((a, b) => a - b);
      const isTarget = (v: VertexId) => to.has(v);
      // Points that were welded are one vertex, and no way leads from it to itself.
      const path = sources.some(isTarget) ? undefined : search.find({ sources, isTarget });
      if (!path) {
        throw new InvalidOptionError(
          'HINT_INVALID',
          `proposeSeams: hint ${hint} is invalid, got points ${chain[k]} and ${chain[k + 1]}, expected two points of one shell`,
          { hint },
        );
      }
      edges.push(...path.edges);
      const inner = new Set(path.vertices.slice(1, -1));
      const other = search.find({
        sources,
        isTarget,
        isBlocked: (v) => inner.has(v),
        maxCost: path.cost * (1 + TIE_SHARE),
      });
      if (other && inner.size > 0) {
        conflicts.push({
          hint,
          message: `two routes from point ${chain[k]} to point ${chain[k + 1]} cost the same; add a waypoint between them to choose`,
        });
      }
    }
  });
  return { edges, conflicts };
}
