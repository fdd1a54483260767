import { DistortionPredictor } from '../distortion/index.js';
import type { Mirror } from '../fields/index.js';
import { computeCurvature, findMirror } from '../fields/index.js';
import type { CanonicalMesh, EdgeId, FaceId, Mesh, VertexId } from '../mesh/index.js';
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
  ChartFrames,
  ConnectMemory,
  findCreases,
  findFoldCorners,
  findHardShells,
  ReliefFinder,
} from '../seams/index.js';
import { findCoincidentEdges } from './coincident-edges.js';
import type { Posture } from './posture.js';
import { findPosture } from './posture.js';
import type { ProposeOptions } from './propose-options.js';
import { SeamSavings } from './seam-savings.js';
import type { ExposureWishes, SurfaceExposures } from './survey-exposures.js';
import { exposeCanonical, exposureWishes } from './survey-exposures.js';

/** What is known of a mesh before any wish of the artist is looked at, on its canonical copy; plain data. */
export interface SurveyFacts {
  readonly source: Mesh;
  readonly canonical: CanonicalMesh;
  /** The canonical mesh: up +y, front +z, diagonal 1. */
  readonly mesh: Mesh;
  readonly mirror: Mirror | undefined;
  /** Whether it is no mirror image of itself from left to right, but is one from front to back. */
  readonly isTurned: boolean;
  readonly parts: PartTree;
  readonly posture: Posture;
  /** Sharp edges between the surfaces of hard shells; none on a body. */
  readonly creases: readonly EdgeId[];
  /** Corners of the small hard shells, which may be unfolded in one piece. */
  readonly foldCorners: readonly VertexId[];
  /** Groups of edges that are cut together. */
  readonly coincidentEdges: readonly (readonly EdgeId[])[];
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
  readonly faceNormals: Float64Array;
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
  const known = recallSurvey(source, options);
  if (known) return known;
  const wishes = exposureWishes(options);
  const canonical = canonicalMesh(source, wishes.up, wishes.front);
  const exposures = exposeCanonical(source, canonical, wishes);
  return keepSurvey(source, options, joinFacts(surveyShape(source, canonical, options), exposures));
}

/** The same with exposures worked out elsewhere meanwhile. */
export async function surveyMeshOn(
  source: Mesh,
  options: ProposeOptions,
  expose: (wishes: ExposureWishes) => Promise<SurfaceExposures>,
): Promise<void> {
  if (recallSurvey(source, options)) return;
  const wishes = exposureWishes(options);
  const measureShape = async () =>
    surveyShape(source, canonicalMesh(source, wishes.up, wishes.front), options);
  const [exposures, shape] = await Promise.all([expose(wishes), measureShape()]);
  keepSurvey(source, options, joinFacts(shape, exposures));
}

const surveyKey = (options: ProposeOptions): string =>
  JSON.stringify([exposureWishes(options), options.symmetry !== 'off']);

function recallSurvey(source: Mesh, options: ProposeOptions): Survey | undefined {
  const known = surveys.get(source);
  return known?.key === surveyKey(options) ? known.survey : undefined;
}

function keepSurvey(source: Mesh, options: ProposeOptions, facts: SurveyFacts): Survey {
  const survey = equipSurvey(facts);
  surveys.set(source, { key: surveyKey(options), survey });
  return survey;
}

type ShapeFacts = Omit<SurveyFacts, 'exposure' | 'frontExposure' | 'faceExposure'>;

/** What does not depend on who looks at the mesh. */
function surveyShape(source: Mesh, canonical: CanonicalMesh, { symmetry }: ProposeOptions): ShapeFacts {
  const { mesh } = canonical;
  const isMirrored = symmetry !== 'off';
  const found = isMirrored ? findMirror(mesh, { axis: [1, 0, 0] }) : undefined;
  const geometry = computeFaceGeometry(mesh);
  const { faceAreas, faceNormals } = geometry;
  const parts = findParts(mesh, found ? { mirror: found } : {});
  const { edgeConcavity: concavity, edgeDihedrals, vertexDefects } = computeCurvature(mesh);
  const edgeLengths = computeEdgeLengths(mesh);
  const creaseFields = { edgeLengths, faceAreas, edgeDihedrals, vertexDefects };
  const creases = findCreases(mesh, creaseFields, findHardShells(mesh, creaseFields));
  return {
    source,
    canonical,
    mesh,
    mirror: found,
    isTurned: isMirrored && !found && isMirroredAcrossFront(mesh),
    parts,
    posture: findPosture(geometry, parts),
    creases,
    foldCorners: findFoldCorners(mesh, creases, faceAreas),
    coincidentEdges: findCoincidentEdges(source, canonical),
    concavity,
    cornerAngles: computeCornerAngles(mesh),
    edgeLengths,
    faceAreas,
    faceNormals,
    area: faceAreas.reduce((sum, a) => sum + a, 0),
  };
}

function joinFacts(shape: ShapeFacts, { edges, frontEdges, faces }: SurfaceExposures): SurveyFacts {
  const { mirror } = shape;
  return {
    ...shape,
    exposure: mirror ? evenOut(edges, mirror) : edges,
    frontExposure: mirror ? evenOut(frontEdges, mirror) : frontEdges,
    faceExposure: faces,
  };
}

/** Share of the surface with a partner at which a body is taken to be symmetric. */
const SYMMETRIC = 0.9;

const isMirroredAcrossFront = (mesh: Mesh): boolean =>
  (findMirror(mesh, { axis: [0, 0, 1] })?.matchedShare ?? 0) > SYMMETRIC;

/** Adds what works on the facts. */
export function equipSurvey(facts: SurveyFacts): Survey {
  const { mesh, mirror, edgeLengths, cornerAngles } = facts;
  const predictor = new DistortionPredictor(mesh, mirror);
  return {
    ...facts,
    predictor,
    savings: new SeamSavings(mesh, mirror, edgeLengths, predictor),
    frames: new ChartFrames(mesh),
    memory: new ConnectMemory(),
    reliefFinder: new ReliefFinder(mesh, mirror, cornerAngles),
    bands: new Map(),
  };
}

/** Gives mirrored edges the same value, so that both sides decide alike. */
export function evenOut(values: Float64Array, mirror: MirrorMap): Float64Array {
  return values.map((value, e) => {
    const partner = mirror.edgePartners[e]!;
    return partner < 0 ? value : (value + values[partner]!) / 2;
  });
}
