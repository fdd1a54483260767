import { DistortionPredictor } from '../distortion/index.js';
import type { Viewpoints } from '../fields/index.js';
import { computeCurvature, computeExposures, findMirror } from '../fields/index.js';
import type { Vec3 } from '../math/index.js';
import { cross, dot, normalize, vec3At } from '../math/index.js';
import type { CanonicalMesh, EdgeId, Mesh } from '../mesh/index.js';
import {
  canonicalMesh,
  computeEdgeLengths,
  computeFaceGeometry,
  edgeFaces,
  edgeVertices,
} from '../mesh/index.js';
import type { PartTree } from '../regions/index.js';
import { findParts } from '../regions/index.js';
import type { MirrorMap, SeamGround } from '../seams/index.js';
import {
  buildMirrorMap,
  COST_WEIGHTS,
  computeEdgeCosts,
  findCreases,
  findHardShells,
  ReliefFinder,
  seamGround,
} from '../seams/index.js';
import { placeHints, routeWaypoints } from './apply-hints.js';
import type { Conflict } from './proposal.js';
import type { ProposeOptions } from './propose-options.js';
import { PROPOSE_DEFAULTS } from './propose-options.js';

/** All that is known of a mesh before seams are drawn, on its canonical copy. */
export interface Study {
  readonly source: Mesh;
  readonly canonical: CanonicalMesh;
  /** The canonical mesh: up +y, front +z, diagonal 1. */
  readonly mesh: Mesh;
  readonly mirror: MirrorMap | undefined;
  /** Share of the surface that has a mirror partner. */
  readonly mirrorShare: number;
  readonly parts: PartTree;
  /** 1 per face of the head's and torso's front, which stays whole. */
  readonly isFront: Uint8Array;
  /** Sharp edges between the surfaces of hard shells; none on a body. */
  readonly creases: readonly EdgeId[];
  /** Remembers charts that several sets share. */
  readonly predictor: DistortionPredictor;
  readonly reliefFinder: ReliefFinder;
  readonly ground: SeamGround;
  /** Edges the artist wants cut, on both sides where the mesh is mirrored. */
  readonly kept: readonly EdgeId[];
  /** 1 per edge the artist wants left whole. */
  readonly isAvoided: Uint8Array;
  readonly conflicts: readonly Conflict[];
  /** Per edge, 0..1. */
  readonly exposure: Float64Array;
  readonly frontExposure: Float64Array;
  readonly edgeLengths: Float64Array;
  readonly faceAreas: Float64Array;
  readonly area: number;
}

/** Measures the fields that seam placement needs. */
export function studyMesh(source: Mesh, options: ProposeOptions): Study {
  const up = options.up ?? PROPOSE_DEFAULTS.up;
  const front = options.front ?? PROPOSE_DEFAULTS.front;
  const canonical = canonicalMesh(source, up, front);
  const { mesh } = canonical;
  const coveredFaces = markCovered(source, canonical, options.hints?.coveredFaces);
  const viewpoints = turnViewpoints(options.viewpoints ?? PROPOSE_DEFAULTS.viewpoints, up, front);
  const [all, ahead] = computeExposures(mesh, [viewpoints, 'front'], coveredFaces ? { coveredFaces } : {});
  const found = options.symmetry === 'off' ? undefined : findMirror(mesh, { axis: [1, 0, 0] });
  const mirror = found && buildMirrorMap(mesh, found);
  const exposure = mirror ? evenOut(all!.edgeExposure, mirror) : all!.edgeExposure;
  const frontExposure = mirror ? evenOut(ahead!.edgeExposure, mirror) : ahead!.edgeExposure;
  const { faceAreas, faceNormals } = computeFaceGeometry(mesh);
  const parts = findParts(mesh);
  const isFront = markFront(mesh, parts, faceNormals);
  const { edgeConcavity: concavity, edgeDihedrals, vertexDefects } = computeCurvature(mesh);
  const edgeLengths = computeEdgeLengths(mesh);
  const creaseFields = { edgeLengths, faceAreas, edgeDihedrals, vertexDefects };
  const costs = computeEdgeCosts(
    mesh,
    { exposure, frontExposure, concavity, edgeFactors: featureFactors(mesh, isFront, mirror) },
    { ...COST_WEIGHTS, ...options.profile },
  );
  const hints = placeHints(source, canonical, options.hints ?? {});
  for (let e = 0; e < costs.length; e++) costs[e]! *= hints.edgeFactors[e]!;
  const ground = seamGround(mesh, mirror, mirror ? evenOut(costs, mirror) : costs);
  const routes = routeWaypoints(source, canonical, ground, options.hints?.waypoints ?? []);
  const kept = new Set([...hints.kept, ...routes.edges]);
  if (mirror) for (const e of [...kept]) if (mirror.edgePartners[e]! >= 0) kept.add(mirror.edgePartners[e]!);
  return {
    source,
    canonical,
    mesh,
    mirror,
    mirrorShare: found?.matchedShare ?? 0,
    parts,
    isFront,
    creases: findCreases(mesh, creaseFields, findHardShells(mesh, creaseFields)),
    predictor: new DistortionPredictor(mesh),
    reliefFinder: new ReliefFinder(mesh, ground.cornerAngles, faceAreas),
    ground,
    kept: [...kept].sort((a, b) => a - b),
    isAvoided: hints.isAvoided,
    conflicts: routes.conflicts,
    exposure,
    frontExposure,
    edgeLengths,
    faceAreas,
    area: faceAreas.reduce((sum, a) => sum + a, 0),
  };
}

/** How much dearer a seam is across the front of head and torso. */
const FRONT_FACTOR = 5;
/** How much dearer a seam is that runs beside the mirror plane instead of on it, and how near that is. */
const BESIDE_PLANE_FACTOR = 2.5;
const BESIDE_PLANE_REACH = 0.03;

/** Factors of edges where seams are out of place, whoever sees them: the face, and close beside the centre line. */
function featureFactors(mesh: Mesh, isFront: Uint8Array, mirror: MirrorMap | undefined): Float64Array {
  const factors = new Float64Array(mesh.edgeCount).fill(1);
  for (let e = 0; e < mesh.edgeCount; e++) {
    const [f, g] = edgeFaces(mesh, e);
    if (isFront[f] || (g >= 0 && isFront[g])) factors[e]! *= FRONT_FACTOR;
    if (!mirror) continue;
    const [a, b] = edgeVertices(mesh, e);
    if (mirror.vertexPartners[a] === a && mirror.vertexPartners[b] === b) continue;
    const xa = Math.abs(mesh.points[3 * mesh.vertexPoints[a]!]!);
    const xb = Math.abs(mesh.points[3 * mesh.vertexPoints[b]!]!);
    const nearness = 1 - (xa + xb) / 2 / BESIDE_PLANE_REACH;
    if (nearness > 0 && Math.abs(xa - xb) < 0.5 * edgeLength(mesh, a, b))
      factors[e]! *= 1 + (BESIDE_PLANE_FACTOR - 1) * nearness;
  }
  return factors;
}

function edgeLength(mesh: Mesh, a: number, b: number): number {
  const p = vec3At(mesh.points, mesh.vertexPoints[a]!);
  const q = vec3At(mesh.points, mesh.vertexPoints[b]!);
  return Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
}

/** Faces of head and torso that look to the front, and of a head those in its front half. */
function markFront(mesh: Mesh, parts: PartTree, faceNormals: Float64Array): Uint8Array {
  const isFront = new Uint8Array(mesh.faceCount);
  const back = new Float64Array(parts.parts.length).fill(Infinity);
  const front = new Float64Array(parts.parts.length).fill(-Infinity);
  const depths = new Float64Array(mesh.faceCount);
  for (let f = 0; f < mesh.faceCount; f++) {
    const count = mesh.faceOffsets[f + 1]! - mesh.faceOffsets[f]!;
    for (let c = mesh.faceOffsets[f]!; c < mesh.faceOffsets[f + 1]!; c++) {
      depths[f]! += mesh.points[3 * mesh.cornerPoints[c]! + 2]! / count;
    }
    const part = parts.faceParts[f]!;
    back[part] = Math.min(back[part]!, depths[f]!);
    front[part] = Math.max(front[part]!, depths[f]!);
  }
  for (let f = 0; f < mesh.faceCount; f++) {
    const part = parts.faceParts[f]!;
    const { name } = parts.parts[part]!;
    const facing = faceNormals[3 * f + 2]!;
    const share = (depths[f]! - back[part]!) / (front[part]! - back[part]!);
    if ((name === 'head' && share > 0.5 && facing > 0.1) || (name === 'torso' && facing > 0.15))
      isFront[f] = 1;
  }
  return isFront;
}

/** The ground on which seams down the body's sides are drawn: what looks forwards or backwards is dearer there. */
export function sideGround(study: Study): SeamGround {
  const { mesh, parts, ground } = study;
  const { faceNormals } = computeFaceGeometry(mesh);
  const edgeCosts = ground.edgeCosts.map((cost, e) => {
    const [f, g] = edgeFaces(mesh, e);
    if (parts.parts[parts.faceParts[f]!]!.name !== 'torso') return cost;
    const facing =
      Math.abs(faceNormals[3 * f + 2]! + (g < 0 ? faceNormals[3 * f + 2]! : faceNormals[3 * g + 2]!)) / 2;
    return cost * (1 + SIDEWAYS_FACTOR * facing * facing);
  });
  return { ...ground, edgeCosts };
}

const SIDEWAYS_FACTOR = 3;

/** Gives mirrored edges the same value, so that both sides decide alike. */
function evenOut(values: Float64Array, mirror: MirrorMap): Float64Array {
  return values.map((value, e) => {
    const partner = mirror.edgePartners[e]!;
    return partner < 0 ? value : (value + values[partner]!) / 2;
  });
}

function markCovered(
  source: Mesh,
  canonical: CanonicalMesh,
  faces: readonly number[] | undefined,
): Uint8Array | undefined {
  if (!faces?.length) return undefined;
  const isCovered = new Uint8Array(source.faceCount);
  for (const f of faces) isCovered[f] = 1;
  return Uint8Array.from(canonical.faces, (f) => isCovered[f]!);
}

function turnViewpoints(viewpoints: Viewpoints, up: Vec3, front: Vec3): Viewpoints {
  if (typeof viewpoints === 'string') return viewpoints;
  const y = normalize(up);
  const x = normalize(cross(y, front));
  const z = cross(x, y);
  return viewpoints.map((v) => ({
    ...v,
    direction: [dot(v.direction, x), dot(v.direction, y), dot(v.direction, z)],
  }));
}
