import { DistortionPredictor } from '../distortion/index.js';
import type { Viewpoints } from '../fields/index.js';
import { computeCurvature, computeExposures, findMirror } from '../fields/index.js';
import type { Vec3 } from '../math/index.js';
import { cross, dot, normalize } from '../math/index.js';
import type { CanonicalMesh, EdgeId, FaceId, Mesh } from '../mesh/index.js';
import {
  canonicalMesh,
  computeCornerAngles,
  computeEdgeLengths,
  computeFaceGeometry,
} from '../mesh/index.js';
import type { PartTree } from '../regions/index.js';
import { findParts } from '../regions/index.js';
import type { MirrorMap } from '../seams/index.js';
import {
  buildMirrorMap,
  ChartFrames,
  ConnectMemory,
  findCreases,
  findHardShells,
  ReliefFinder,
} from '../seams/index.js';
import type { ProposeOptions } from './propose-options.js';
import { PROPOSE_DEFAULTS } from './propose-options.js';
import { SeamSavings } from './seam-savings.js';

/** What is known of a mesh before any wish of the artist is looked at, on its canonical copy; plain data. */
export interface SurveyFacts {
  readonly source: Mesh;
  readonly canonical: CanonicalMesh;
  /** The canonical mesh: up +y, front +z, diagonal 1. */
  readonly mesh: Mesh;
  readonly mirror: MirrorMap | undefined;
  /** Share of the surface that has a mirror partner. */
  readonly mirrorShare: number;
  /** Whether it is no mirror image of itself from left to right, but is one from front to back. */
  readonly isTurned: boolean;
  readonly parts: PartTree;
  /** 1 per face of the head's and torso's front, which stays whole. */
  readonly isFront: Uint8Array;
  /** Sharp edges between the surfaces of hard shells; none on a body. */
  readonly creases: readonly EdgeId[];
  /** Per edge, 0..1. */
  readonly exposure: Float64Array;
  readonly frontExposure: Float64Array;
  /** Per face, 0..1, as the viewpoints see it. */
  readonly faceExposure: Float64Array;
  /** Per edge, 0..1, 1 for the sharpest folds inwards. */
  readonly concavity: Float64Array;
  readonly cornerAngles: Float64Array;
  readonly edgeLengths: Float64Array;
  readonly faceAreas: Float64Array;
  readonly area: number;
}

/** The same with what works on it, and remembers what it has worked out. */
export interface Survey extends SurveyFacts {
  /** Remembers charts that several sets share. */
  readonly predictor: DistortionPredictor;
  readonly reliefFinder: ReliefFinder;
  readonly savings: SeamSavings;
  readonly frames: ChartFrames;
  readonly memory: ConnectMemory;
  /** By part, filled as collars are placed. */
  readonly bands: Map<number, Band>;
}

/** The stretch of surface in which a part's collar is sought, and the one found last. */
export interface Band {
  readonly faces: readonly FaceId[];
  /** Cost of each edge of the faces when the collar was found. */
  costs: Float64Array;
  /** Empty where the part has none. */
  collar: readonly EdgeId[];
}

/** The latest survey of each mesh, so that a proposal with another hint starts where the last one did. */
const surveys = new WeakMap<Mesh, { readonly key: string; readonly survey: Survey }>();

/** Measures the fields that seam placement needs, or recalls them when only hints and weights have changed. */
export function surveyMesh(source: Mesh, options: ProposeOptions): Survey {
  const up = options.up ?? PROPOSE_DEFAULTS.up;
  const front = options.front ?? PROPOSE_DEFAULTS.front;
  const viewpoints = options.viewpoints ?? PROPOSE_DEFAULTS.viewpoints;
  const isMirrored = options.symmetry !== 'off';
  const covered = options.hints?.coveredFaces;
  const key = JSON.stringify([up, front, viewpoints, isMirrored, covered?.length ? covered : []]);
  const known = surveys.get(source);
  if (known?.key === key) return known.survey;
  const survey = measureSurvey(canonicalMesh(source, up, front), {
    source,
    viewpoints: turnViewpoints(viewpoints, up, front),
    isMirrored,
    covered,
  });
  surveys.set(source, { key, survey });
  return survey;
}

interface SurveyPlan {
  readonly source: Mesh;
  /** In the canonical frame. */
  readonly viewpoints: Viewpoints;
  readonly isMirrored: boolean;
  readonly covered: readonly number[] | undefined;
}

function measureSurvey(
  canonical: CanonicalMesh,
  { source, viewpoints, isMirrored, covered }: SurveyPlan,
): Survey {
  const { mesh } = canonical;
  const coveredFaces = markCovered(source, canonical, covered);
  const [all, ahead] = computeExposures(mesh, [viewpoints, 'front'], coveredFaces ? { coveredFaces } : {});
  const found = isMirrored ? findMirror(mesh, { axis: [1, 0, 0] }) : undefined;
  const mirror = found && buildMirrorMap(mesh, found);
  const { faceAreas, faceNormals } = computeFaceGeometry(mesh);
  const parts = findParts(mesh, found ? { mirror: found } : {});
  const { edgeConcavity: concavity, edgeDihedrals, vertexDefects } = computeCurvature(mesh);
  const edgeLengths = computeEdgeLengths(mesh);
  const creaseFields = { edgeLengths, faceAreas, edgeDihedrals, vertexDefects };
  const cornerAngles = computeCornerAngles(mesh);
  return equipSurvey({
    source,
    canonical,
    mesh,
    mirror,
    mirrorShare: found?.matchedShare ?? 0,
    isTurned: isMirrored && !found && isMirroredAcrossFront(mesh),
    parts,
    isFront: markFront(mesh, parts, faceNormals),
    creases: findCreases(mesh, creaseFields, findHardShells(mesh, creaseFields)),
    exposure: mirror ? evenOut(all!.edgeExposure, mirror) : all!.edgeExposure,
    frontExposure: mirror ? evenOut(ahead!.edgeExposure, mirror) : ahead!.edgeExposure,
    faceExposure: all!.faceExposure,
    concavity,
    cornerAngles,
    edgeLengths,
    faceAreas,
    area: faceAreas.reduce((sum, a) => sum + a, 0),
  });
}

/** Share of the surface with a partner at which a body is taken to be symmetric. */
const SYMMETRIC = 0.9;

const isMirroredAcrossFront = (mesh: Mesh): boolean =>
  (findMirror(mesh, { axis: [0, 0, 1] })?.matchedShare ?? 0) > SYMMETRIC;

/** Adds what works on the facts. */
export function equipSurvey(facts: SurveyFacts): Survey {
  const { mesh, mirror, edgeLengths, cornerAngles, faceAreas } = facts;
  const predictor = new DistortionPredictor(mesh, mirror);
  const frames = new ChartFrames(mesh);
  return {
    ...facts,
    predictor,
    savings: new SeamSavings(mesh, mirror, edgeLengths, { predictor, frames }),
    frames,
    memory: new ConnectMemory(),
    reliefFinder: new ReliefFinder(mesh, cornerAngles, faceAreas),
    bands: new Map(),
  };
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

/** Gives mirrored edges the same value, so that both sides decide alike. */
export function evenOut(values: Float64Array, mirror: MirrorMap): Float64Array {
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
