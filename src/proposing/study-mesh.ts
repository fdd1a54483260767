import type { Viewpoints } from '../fields/index.js';
import { computeExposures, findMirror } from '../fields/index.js';
import type { Vec3 } from '../math/index.js';
import { cross, dot, normalize } from '../math/index.js';
import type { CanonicalMesh, Mesh } from '../mesh/index.js';
import { canonicalMesh, computeEdgeLengths, computeFaceGeometry, edgeFaces } from '../mesh/index.js';
import type { CostWeights, MirrorMap, SeamGround } from '../seams/index.js';
import { buildMirrorMap, COST_WEIGHTS, computeEdgeCosts, seamGround } from '../seams/index.js';
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
  readonly ground: SeamGround;
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
  const { faceAreas, faceNormals, faceCentroids } = computeFaceGeometry(mesh);
  const weights: CostWeights = { ...COST_WEIGHTS, ...options.profile };
  const concavity = computeConcavity(mesh, faceNormals, faceCentroids);
  const edgeCosts = computeEdgeCosts(
    mesh,
    { exposure, frontExposure, concavity: mirror ? evenOut(concavity, mirror) : concavity },
    weights,
  );
  return {
    source,
    canonical,
    mesh,
    mirror,
    mirrorShare: found?.matchedShare ?? 0,
    ground: seamGround(mesh, mirror, mirror ? evenOut(edgeCosts, mirror) : edgeCosts),
    exposure,
    frontExposure,
    edgeLengths: computeEdgeLengths(mesh),
    faceAreas,
    area: faceAreas.reduce((sum, a) => sum + a, 0),
  };
}

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

/** How sharply the surface folds inwards at each edge: 0 flat or convex, 1 at a right angle and more. */
function computeConcavity(mesh: Mesh, faceNormals: Float64Array, faceCentroids: Float64Array): Float64Array {
  const concavity = new Float64Array(mesh.edgeCount);
  for (let e = 0; e < mesh.edgeCount; e++) {
    const [f, g] = edgeFaces(mesh, e);
    if (g < 0) continue;
    let cosine = 0;
    let height = 0;
    for (let k = 0; k < 3; k++) {
      cosine += faceNormals[3 * f + k]! * faceNormals[3 * g + k]!;
      height += faceNormals[3 * f + k]! * (faceCentroids[3 * g + k]! - faceCentroids[3 * f + k]!);
    }
    if (height > 0) concavity[e] = Math.min(1, Math.acos(Math.max(-1, Math.min(1, cosine))) / (Math.PI / 2));
  }
  return concavity;
}
