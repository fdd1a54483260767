import { growDistances } from '../graph/index.js';
import { length, subtract } from '../math/index.js';
import type { FaceId, VertexId } from '../mesh/index.js';
import { edgeFaces, vertexFace, vertexPosition } from '../mesh/index.js';
import type { ChartFrame } from '../seams/index.js';
import { SeamDraft } from '../seams/index.js';
import { exposedLength } from './exposed-length.js';
import { pruneSeams } from './prune-seams.js';
import type { Study } from './study-mesh.js';
import { withImage } from './with-image.js';

/** What a tear lets go of, over the sum of energy times the way already torn along it. */
const RELEASE = 4;
/** Tears that save less, as a mean over the surface, are not worth a seam however hidden. */
const LEAST_SAVING = 0.002;
/** Share of the worth that is asked of a tear in a chart that tears can bring below the stretch limit. */
const FORCED_SHARE = 0.2;
/** Where one tear was not worth it none ends nearer to it, as a share of the model's diagonal. */
const APART = 0.02;
const ROUNDS = 5;

/** What decides where charts are torn. */
export interface TearLimits {
  /** Energy saved, as a mean over the surface, per exposed length over the square root of the area. */
  readonly worth: number;
  /** 1 per vertex that no tear may pass. */
  readonly isUnreachable: Uint8Array;
  /** Draws seams to some vertices. */
  readonly grow: (draft: SeamDraft, ends: readonly VertexId[]) => void;
  /** First face of the only chart to be torn, with its mirror image; all of them when left out. */
  readonly only?: FaceId;
}

/** A tear, with its mirror image. */
interface Tear {
  readonly ends: readonly VertexId[];
  readonly charts: ReadonlySet<number>;
}

/** Tears charts open where that is worth it, and further those that it brings below the stretch limit. */
export function tearToLimit(
  study: Study,
  given: SeamDraft,
  limits: TearLimits,
  stretchLimit: number,
): SeamDraft {
  const listOver = ({ isSeam }: SeamDraft) =>
    study.predictor.predict(study.frames.at(isSeam).cut).charts.filter(({ energy }) => energy > stretchLimit);
  let draft = tearOpen(study, given, limits);
  for (const { faces } of listOver(draft)) {
    const torn = tearOpen(study, draft, { ...limits, worth: FORCED_SHARE * limits.worth, only: faces[0]! });
    if (listOver(torn).length < listOver(draft).length) draft = torn;
  }
  return draft;
}

/**
 * Opens charts from their borders where that saves most stretch for what is seen of it, though scale has no peak
 * there that can be opened: in the flanks of a head, say, whose peak is the face. What a tear saves depends on the
 * whole chart, and is predicted for it.
 */
function tearOpen(study: Study, given: SeamDraft, limits: TearLimits): SeamDraft {
  let draft = given;
  // What was tried in vain is not tried again.
  const isUnreachable = limits.isUnreachable.slice();
  for (let round = 0; round < ROUNDS; round++) {
    const tears = chooseTears(study, draft, { ...limits, isUnreachable });
    if (tears.length === 0) break;
    const torn = new SeamDraft(study.mesh, draft);
    limits.grow(
      torn,
      tears.flatMap(({ ends }) => ends),
    );
    draft = keepWorthy(study, draft, torn, tears, limits.worth, isUnreachable);
  }
  // Later tears, or the other half of a forked one, may have made one needless.
  if (draft !== given) pruneSeams(study, draft, limits.worth, true);
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
function promiseTears(
  study: Study,
  frame: ChartFrame,
  { isUnreachable, worth, only }: TearLimits,
): Float64Array {
  const { mesh, ground, exposure, edgeLengths, area, isAvoided } = study;
  const energies = new Float64Array(mesh.edgeCount);
  const costs = new Float64Array(mesh.edgeCount).fill(Infinity);
  const sources = new Set<VertexId>();
  for (const { faces, faceEnergies } of study.predictor.predict(frame.cut).charts) {
    if ((only ?? faces[0]) === faces[0])
      faceEnergies.forEach((energy, i) => {
        for (let h = mesh.faceOffsets[faces[i]!]!; h < mesh.faceOffsets[faces[i]! + 1]!; h++) {
          const e = mesh.halfEdgeEdges[h]!;
          const v = mesh.cornerVertices[h]!;
          energies[e]! += (energy - 4) / 2;
          if (!isAvoided[e]) costs[e] = ground.edgeCosts[e]!;
          if (frame.isFixed[v]) sources.add(v);
        }
      });
  }
  const { parentEdges, parentVertices, order } = growDistances(mesh, [...sources], costs);
  const promises = new Float64Array(mesh.vertexCount);
  const ways = new Float64Array(mesh.vertexCount);
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
  return promises;
}

/** The most promising tear of each chart. */
function chooseTears(study: Study, draft: SeamDraft, limits: TearLimits): Tear[] {
  const { mesh } = study;
  const frame = study.frames.at(draft.isSeam);
  const isTaken = new Set<number>();
  const tears: Tear[] = [];
  const promises = promiseTears(study, frame, limits);
  const hopeful = [...promises.keys()].filter((v) => promises[v]! > LEAST_SAVING);
  // Of two that promise as much the lower stays first.
  for (const v of hopeful.sort((a, b) => promises[b]! - promises[a]!)) {
    const ends = withImage(study, v);
    const charts = new Set(ends.map((end) => frame.cut.faceCharts[vertexFace(mesh, end)]!));
    if ([...charts].some((chart) => isTaken.has(chart))) continue;
    for (const chart of charts) isTaken.add(chart);
    tears.push({ ends, charts });
  }
  return tears;
}

/** The draft with the tears that save enough; where the others end none is sought again. */
function keepWorthy(
  study: Study,
  draft: SeamDraft,
  torn: SeamDraft,
  tears: readonly Tear[],
  worth: number,
  isUnreachable: Uint8Array,
): SeamDraft {
  const { mesh, predictor, frames, area } = study;
  const { cut } = frames.at(draft.isSeam);
  const before = predictor.predict(cut).charts;
  const after = predictor.predict(frames.at(torn.isSeam).cut).charts;
  const added = before.map((): number[] => []);
  for (let e = 0; e < mesh.edgeCount; e++)
    if (torn.isSeam[e] && !draft.isSeam[e]) added[cut.faceCharts[edgeFaces(mesh, e)[0]]!]!.push(e);
  let kept = draft;
  for (const { ends, charts } of tears) {
    let saved = 0;
    const edges = [...charts].flatMap((chart) => {
      saved += before[chart]!.surfaceArea * (before[chart]!.energy - after[chart]!.energy);
      return added[chart]!;
    });
    if (saved / area > Math.max(LEAST_SAVING, worth * exposedLength(study, edges))) {
      if (kept === draft) kept = new SeamDraft(mesh, draft);
      kept.add(edges, 'relief');
      continue;
    }
    for (const end of ends) {
      const place = vertexPosition(mesh, end);
      for (let v = 0; v < mesh.vertexCount; v++)
        if (length(subtract(vertexPosition(mesh, v), place)) < APART) isUnreachable[v] = 1;
    }
  }
  return kept;
}
