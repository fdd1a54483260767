import { growDistances } from '../graph/index.js';
import { length, subtract } from '../math/index.js';
import type { FaceId, VertexId } from '../mesh/index.js';
import { edgeFaces, vertexFace, vertexPosition } from '../mesh/index.js';
import { SeamDraft } from '../seams/index.js';
import { pruneSeams } from './prune-seams.js';
import type { Study } from './study-mesh.js';

/** What a tear lets go of, over the sum of energy times the way already torn along it. */
const RELEASE = 4;
/** Tears whose ends are nearer to one another, as a share of their length, let go of the same stretch. */
const APART = 0.5;
/** Tears that save less, as a mean over the surface, are not worth a seam however hidden. */
const LEAST_SAVING = 0.002;
/** Share of the worth that is asked of a tear in a chart that tears can bring below the stretch limit. */
const FORCED_SHARE = 0.2;
const ROUNDS = 8;

/** What decides where charts are torn. */
export interface TearLimits {
  /** Energy saved, as a mean over the surface, per exposed length over the square root of the area. */
  readonly worth: number;
  /** 1 per vertex that no tear may pass. */
  readonly isUnreachable: Uint8Array;
  /** Draws seams to some vertices. */
  readonly grow: (draft: SeamDraft, ends: readonly VertexId[]) => void;
  /** A face of the only chart to be torn, with its mirror image; all of them when left out. */
  readonly only?: FaceId;
}

/** Per vertex: what a tear to it is expected to be worth beyond what is asked, and its length. */
interface TearPromises {
  readonly promises: Float64Array;
  readonly ways: Float64Array;
}

/** A tear, with its mirror image. */
interface Tear {
  readonly ends: readonly VertexId[];
  readonly charts: ReadonlySet<number>;
}

/** Tears charts open where that is worth it, and further those that it brings below the stretch limit. */
export function tearToLimit(
  study: Study,
  draft: SeamDraft,
  limits: TearLimits,
  stretchLimit: number,
): SeamDraft {
  const listOver = ({ isSeam }: SeamDraft) =>
    study.predictor
      .predict(study.frames.at(isSeam).cut)
      .charts.filter(({ energy }) => energy > stretchLimit)
      .map(({ faces }) => faces[0]!);
  draft = tearOpen(study, draft, limits);
  for (const only of listOver(draft)) {
    if (!listOver(draft).includes(only)) continue;
    const torn = tearOpen(study, draft, { ...limits, worth: FORCED_SHARE * limits.worth, only });
    if (!listOver(torn).includes(only)) draft = torn;
  }
  return draft;
}

/**
 * Opens charts from their borders where that saves most stretch for what is seen of it, though scale has no peak
 * there that can be opened: in the flanks of a head, say, whose peak is the face. What a tear saves depends on the
 * whole chart, and is predicted for it.
 */
function tearOpen(study: Study, draft: SeamDraft, limits: TearLimits): SeamDraft {
  const tried: VertexId[] = [];
  let promises = promiseTears(study, draft, limits);
  for (let round = 0; round < ROUNDS; round++) {
    const tears = chooseTears(study, draft, promises, tried, limits.only);
    if (tears.length === 0) break;
    const torn = new SeamDraft(study.mesh, draft);
    const ends = tears.flatMap((tear) => tear.ends);
    limits.grow(torn, ends);
    tried.push(...ends);
    const kept = keepWorthy(study, draft, torn, tears, limits.worth);
    if (!kept) continue;
    draft = kept;
    promises = promiseTears(study, draft, limits);
  }
  // Later tears, or the other half of a forked one, may have made one needless.
  pruneSeams(study, draft, limits.worth, true);
  return draft;
}

/**
 * What tearing a chart open to each vertex promises, less what would be seen of it.
 *
 * A crack of length a from the border of a sheet lets go of 1.12² π σ² a / E for each unit that it grows (Tada, Paris &
 * Irwin, "The Stress Analysis of Cracks Handbook"; from memory). Summed along a way that is 7.9 Σ w s ds, w the
 * strain's energy and s the way behind; about half of the strain is across the way. Of 300 ways on six bodies the
 * prediction for the charts with and without gave 4.1 times that sum, for nine in ten of them 1.5 to 8 times.
 */
function promiseTears(study: Study, draft: SeamDraft, { isUnreachable, worth }: TearLimits): TearPromises {
  const { mesh, ground, frames, exposure, edgeLengths, area, isAvoided } = study;
  const frame = frames.at(draft.isSeam);
  const energies = new Float64Array(mesh.edgeCount);
  for (const { faces, faceEnergies } of study.predictor.predict(frame.cut).charts)
    faceEnergies.forEach((energy, i) => {
      for (let h = mesh.faceOffsets[faces[i]!]!; h < mesh.faceOffsets[faces[i]! + 1]!; h++)
        energies[mesh.halfEdgeEdges[h]!]! += (energy - 4) / 2;
    });
  const sources = [...frame.isFixed.keys()].filter((v) => frame.isFixed[v]);
  const costs = ground.edgeCosts.map((cost, e) => (isAvoided[e] ? Infinity : cost));
  const { parentEdges, parentVertices, order } = growDistances(mesh, sources, costs);
  const ways = new Float64Array(mesh.vertexCount);
  const promises = new Float64Array(mesh.vertexCount);
  for (const v of order) {
    const e = parentEdges[v]!;
    if (e < 0) continue;
    const from = parentVertices[v]!;
    const step = edgeLengths[e]!;
    ways[v] = ways[from]! + step;
    const released = RELEASE * energies[e]! * step * (ways[from]! + step / 2);
    const seen = exposure[e]! * step;
    promises[v] = isUnreachable[v]
      ? -Infinity
      : promises[from]! + released / area - (worth * seen) / Math.sqrt(area);
  }
  return { promises, ways };
}

/** The most promising tear of each chart that has not been tried. */
function chooseTears(
  { mesh, mirror, frames }: Study,
  draft: SeamDraft,
  { promises, ways }: TearPromises,
  tried: readonly VertexId[],
  only: FaceId | undefined,
): Tear[] {
  const { faceCharts } = frames.at(draft.isSeam).cut;
  const isNear = (a: VertexId, b: VertexId) =>
    length(subtract(vertexPosition(mesh, a), vertexPosition(mesh, b))) <= APART * ways[b]!;
  const isTaken = new Set<number>();
  const tears: Tear[] = [];
  const hopeful = [...promises.keys()].filter((v) => promises[v]! > 0);
  for (const v of hopeful.sort((a, b) => promises[b]! - promises[a]! || a - b)) {
    const ends = [...new Set([v, mirror?.vertexPartners[v] ?? -1])].filter((end) => end >= 0);
    const charts = new Set(ends.map((end) => faceCharts[vertexFace(mesh, end)]!));
    if (only !== undefined && !charts.has(faceCharts[only]!)) continue;
    if ([...charts].some((chart) => isTaken.has(chart)) || tried.some((end) => isNear(end, v))) continue;
    for (const chart of charts) isTaken.add(chart);
    tears.push({ ends, charts });
  }
  return tears;
}

/** The draft with the tears that save enough; undefined when there is none. */
function keepWorthy(
  { mesh, predictor, frames, exposure, edgeLengths, area }: Study,
  draft: SeamDraft,
  torn: SeamDraft,
  tears: readonly Tear[],
  worth: number,
): SeamDraft | undefined {
  const { cut } = frames.at(draft.isSeam);
  const before = predictor.predict(cut).charts;
  const after = predictor.predict(frames.at(torn.isSeam).cut).charts;
  if (after.length !== before.length) return undefined;
  const added = before.map((): number[] => []);
  for (let e = 0; e < mesh.edgeCount; e++)
    if (torn.isSeam[e] && !draft.isSeam[e]) added[cut.faceCharts[edgeFaces(mesh, e)[0]]!]!.push(e);
  let kept: SeamDraft | undefined;
  for (const { charts } of tears) {
    let saved = 0;
    let seen = 0;
    const edges = [...charts].flatMap((chart) => {
      saved += before[chart]!.surfaceArea * (before[chart]!.energy - after[chart]!.energy);
      return added[chart]!;
    });
    for (const e of edges) seen += exposure[e]! * edgeLengths[e]!;
    if (!(saved / area > Math.max(LEAST_SAVING, (worth * seen) / Math.sqrt(area)))) continue;
    kept ??= new SeamDraft(mesh, draft);
    kept.add(edges, 'relief');
  }
  return kept;
}
