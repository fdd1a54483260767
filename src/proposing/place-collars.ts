import type { EdgePath } from '../graph/index.js';
import { growDistances } from '../graph/index.js';
import { dot, normalize, subtract, vec3At } from '../math/index.js';
import type { EdgeId, FaceId, VertexId } from '../mesh/index.js';
import { cutMesh, edgeFaces, edgeVertices } from '../mesh/index.js';
import type { Part, PartName } from '../regions/index.js';
import type { CollarBand } from '../seams/index.js';
import { findCollar } from '../seams/index.js';
import type { Study } from './study-mesh.js';

/** Collars of all parts that can be taken off, by part index. */
export type CollarTable = ReadonlyMap<number, readonly EdgeId[]>;

/** The band reaches this share of the base's girth to both sides. */
const BAND_SHARE = 0.16;
/** Parts below this share of the surface stay on, and parts we are less sure of than this. */
const SMALLEST_PART = 0.006;
const LEAST_CONFIDENCE = 0.55;
/** A loop that turns more than this per vertex, in radians, is a staircase that no artist would keep. */
const MOST_TURN = 0.75;
/** Pieces beside a band with less than this share of the faces on their side of it belong to it. */
const ISLAND_SHARE = 0.02;
const NEVER_TAKEN_OFF: ReadonlySet<PartName> = new Set([
  'finger',
  'toe',
  'socket',
  'mouth',
  'nostril',
  'pocket',
  'core',
  'torso',
]);

/** Finds the best collar at the base of every part, mirrored where the parts are partners. */
export function placeCollars(study: Study): CollarTable {
  const { parts, mirror, ground, bands } = study;
  const collars = new Map<number, readonly EdgeId[]>();
  const descendants = listDescendants(parts.parts);
  parts.parts.forEach((part, i) => {
    const twin = mirror && part.partner >= 0 ? part.partner : -1;
    if (!canComeOff(study, part, parts.parts[twin] ?? part)) return;
    const mirrorTo = (target: number, collar: readonly EdgeId[] = []): boolean => {
      const image = collar.map((e) => mirror!.edgePartners[e]!);
      if (image.length === 0 || image.some((e) => e < 0)) return false;
      collars.set(target, image);
      return true;
    };
    if (twin >= 0 && twin < i && mirrorTo(i, collars.get(twin))) return;
    if (part.base.length === 0) return;
    const isBranch = (f: FaceId) => descendants[i]!.has(parts.faceParts[f]!);
    let band = bands.get(i);
    if (!band) {
      band = { faces: findBand(study, part, isBranch), costs: new Float64Array(0), collar: [] };
      bands.set(i, band);
    }
    const costs = bandCosts(study, band.faces);
    if (!hasSame(costs, band.costs)) {
      const { faces } = band;
      const found =
        twin < 0
          ? findCollar(ground, { faces, isBranch })
          : findPairedCollar(study, part, { faces, isBranch });
      band.costs = costs;
      band.collar = found && meanTurn(study, found.vertices) < MOST_TURN ? found.edges : [];
    }
    if (band.collar.length === 0) return;
    collars.set(i, band.collar);
    // What a bent pose, or triangles that do not mirror, let only the second side find.
    if (twin >= 0 && twin < i) mirrorTo(twin, band.collar);
  });
  return collars;
}

/**
 * Collars of the parts with the names given. On a mirrored body none is without its mirror image: where limbs to both
 * sides of the plane are told apart badly, the cheapest loop may go round one of them alone.
 */
export function chooseCollars(
  { parts, mirror }: Study,
  collars: CollarTable,
  names: readonly PartName[],
): (readonly EdgeId[])[] {
  let chosen = parts.parts.flatMap(({ name }, i) => (names.includes(name) ? [collars.get(i) ?? []] : []));
  for (let count = Infinity; mirror && chosen.length < count; ) {
    count = chosen.length;
    const isChosen = new Set(chosen.flat());
    const hasImage = (e: EdgeId) => mirror.edgePartners[e]! < 0 || isChosen.has(mirror.edgePartners[e]!);
    chosen = chosen.filter((collar) => collar.every(hasImage));
  }
  return chosen;
}

/** Whether a part is one to take off. In a bent pose its twin may measure otherwise, so the two are judged together. */
function canComeOff({ area }: Study, part: Part, twin: Part): boolean {
  if (part.parent < 0 || NEVER_TAKEN_OFF.has(part.name)) return false;
  if ((part.area + twin.area) / 2 < SMALLEST_PART * area) return false;
  return part.name === 'branch' || (part.confidence + twin.confidence) / 2 >= LEAST_CONFIDENCE;
}

/** Faces round the base of a part. */
function findBand({ mesh, edgeLengths }: Study, part: Part, isBranch: (f: FaceId) => boolean): FaceId[] {
  const sources = new Set<VertexId>();
  let girth = 0;
  for (const e of part.base) {
    girth += edgeLengths[e]!;
    for (const v of edgeVertices(mesh, e)) sources.add(v);
  }
  const reach = BAND_SHARE * girth;
  const { distances } = growDistances(mesh, [...sources], edgeLengths, reach);
  const isNear = new Uint8Array(mesh.faceCount);
  for (let c = 0; c < mesh.cornerCount; c++)
    if (distances[mesh.cornerVertices[c]!]! <= reach) isNear[mesh.cornerFaces[c]!] = 1;
  // A few faces left over would be a hole in the tube.
  const isRim = new Uint8Array(mesh.edgeCount);
  for (let e = 0; e < mesh.edgeCount; e++) {
    const [f, g] = edgeFaces(mesh, e);
    if (g >= 0 && isNear[f] !== isNear[g]) isRim[e] = 1;
  }
  const { faceCharts, chartCount } = cutMesh(mesh, isRim);
  const sizes = new Int32Array(chartCount);
  for (const piece of faceCharts) sizes[piece]!++;
  const all = [...isNear.keys()].filter((f) => mesh.faceShells[f] === part.shell);
  const sideOf = (f: FaceId) => Number(isBranch(f));
  const counts: [number, number] = [0, 0];
  for (const f of all) if (!isNear[f]) counts[sideOf(f)]!++;
  return all.filter((f) => isNear[f] || sizes[faceCharts[f]!]! < ISLAND_SHARE * counts[sideOf(f)]!);
}

/** A collar of one of two limbs, if it can be along edges that all have mirror images. */
function findPairedCollar(study: Study, limb: Part, band: CollarBand): EdgePath | undefined {
  const { edgeCosts } = study.ground;
  const { edgePartners } = study.mirror!;
  const paired = edgeCosts.map((cost, e) => (edgePartners[e]! < 0 ? Infinity : cost));
  const found = findSideCollar(study, limb, band, paired);
  if (found || !edgePartners.includes(-1)) return found;
  return findSideCollar(study, limb, band, edgeCosts);
}

/** A collar on the limb's own side; only what lies on the plane has one across it. */
function findSideCollar(
  { mesh, mirror, ground }: Study,
  limb: Part,
  band: CollarBand,
  edgeCosts: Float64Array,
): EdgePath | undefined {
  const plain = { ...ground, edgeCosts, mirror: undefined };
  const side = mirror!.vertexSides[limb.tip]!;
  const isOnSide = (v: VertexId) => mirror!.vertexSides[v]! * side >= 0;
  const found = findCollar(plain, band);
  if (found?.vertices.every(isOnSide)) return found;
  const hasSide = (f: FaceId) =>
    mesh.cornerVertices.subarray(mesh.faceOffsets[f]!, mesh.faceOffsets[f + 1]!).every(isOnSide);
  return findCollar(plain, { ...band, faces: band.faces.filter(hasSide) });
}

/** What a collar in the band depends on. */
function bandCosts({ mesh, ground }: Study, faces: readonly FaceId[]): Float64Array {
  const costs: number[] = [];
  for (const f of faces)
    for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++)
      costs.push(ground.edgeCosts[mesh.halfEdgeEdges[h]!]!);
  return Float64Array.from(costs);
}

const hasSame = (a: Float64Array, b: Float64Array): boolean =>
  a.length === b.length && a.every((value, i) => value === b[i]);

/** For every part the set of itself and all that grows from it. */
export function listDescendants(parts: readonly Part[]): Set<number>[] {
  const sets = parts.map((_, i) => new Set([i]));
  parts.forEach((part, i) => {
    for (let p = part.parent; p >= 0; p = parts[p]!.parent) sets[p]!.add(i);
  });
  return sets;
}

/** Mean angle between one edge of a closed loop and the next. */
function meanTurn(study: Study, loop: readonly VertexId[]): number {
  const { mesh } = study;
  const at = (i: number) => vec3At(mesh.points, mesh.vertexPoints[loop[i % loop.length]!]!);
  let sum = 0;
  const count = loop[0] === loop[loop.length - 1] ? loop.length - 1 : loop.length;
  for (let i = 0; i < count; i++) {
    const a = normalize(subtract(at((i + 1) % count), at(i)));
    const b = normalize(subtract(at((i + 2) % count), at((i + 1) % count)));
    sum += Math.acos(Math.max(-1, Math.min(1, dot(a, b))));
  }
  // The loop closes, so a full turn is its due.
  return (sum - 2 * Math.PI) / count;
}
