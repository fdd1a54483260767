import { growDistances } from '../graph/index.js';
import type { EdgeId, FaceId, VertexId } from '../mesh/index.js';
import { edgeFaces, edgeVertices, vertexFace } from '../mesh/index.js';
import type { ChartFrame } from '../seams/index.js';
import { SeamDraft } from '../seams/index.js';
import { pruneSeams } from './prune-seams.js';
import type { Strategy } from './strategies.js';
import type { Study } from './study-mesh.js';

/** What a tear lets go of, over the sum of energy times the way already torn along it. */
const RELEASE = 4;
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
  /** How borders are joined across the mirror plane. */
  readonly trunk: Strategy['trunk'];
  /** Draws seams to some vertices. */
  readonly grow: (draft: SeamDraft, ends: readonly VertexId[]) => void;
  /** A face of the only chart to be torn, with its mirror image; all of them when left out. */
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
  draft: SeamDraft,
  limits: TearLimits,
  stretchLimit: number,
): SeamDraft {
  const listOver = ({ isSeam }: SeamDraft) =>
    study.predictor.predict(study.frames.at(isSeam).cut).charts.filter(({ energy }) => energy > stretchLimit);
  draft = tearOpen(study, draft, limits);
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
function tearOpen(study: Study, draft: SeamDraft, limits: TearLimits): SeamDraft {
  const { mesh, mirror, frames, memory, ground } = study;
  const frame = frames.at(draft.isSeam);
  const { faceCharts, chartCount } = frame.cut;
  const nameTears = (chart: number) => `${frame.nameChart(chart)}:${limits.worth}:${limits.trunk}`;
  const listInner = (chart: number, isSeam: Uint8Array) => {
    const inner = new Set<EdgeId>();
    for (const f of frame.chartFaces(chart))
      for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++) {
        const e = mesh.halfEdgeEdges[h]!;
        const twin = mesh.twin[h]!;
        if (isSeam[e] && twin >= 0 && faceCharts[mesh.cornerFaces[twin]!] === chart) inner.add(e);
      }
    return inner;
  };
  let torn = new SeamDraft(mesh, draft);
  const open = new Set<number>();
  for (let chart = 0; chart < chartCount; chart++) {
    const image = faceCharts[mirror?.facePartners[frame.firstFaces[chart]!] ?? -1] ?? chart;
    const pair = [chart, image];
    if (limits.only !== undefined && !pair.includes(faceCharts[limits.only]!)) continue;
    const known = pair.map((each) => memory.recall(nameTears(each), frame, each, ground.edgeCosts, true));
    if (known.includes(undefined)) for (const each of pair) open.add(each);
    else {
      const edges = known[0]!.flatMap((path) => path.edges);
      torn.remove([...listInner(chart, torn.isSeam)].filter((e) => !edges.includes(e)));
      torn.add(edges, 'relief');
    }
  }
  if (open.size === 0) return torn;
  // Ways that were tried in vain are not gone again.
  const isUnreachable = limits.isUnreachable.slice();
  for (let round = 0; round < ROUNDS; round++) {
    const tears = chooseTears(study, torn, { ...limits, isUnreachable }, open);
    if (tears.length === 0) break;
    const next = new SeamDraft(mesh, torn);
    limits.grow(
      next,
      tears.flatMap(({ ends }) => ends),
    );
    torn = keepWorthy(study, torn, next, tears, limits.worth, isUnreachable);
  }
  // Later tears, or the other half of a forked one, may have made one needless.
  pruneSeams(study, torn, limits.worth, true);
  for (const chart of open) {
    const edges = [...listInner(chart, torn.isSeam)];
    memory.keep(nameTears(chart), [{ edges, vertices: [], cost: 0 }], ground.edgeCosts);
  }
  return torn;
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
  { isUnreachable, worth }: TearLimits,
  open: ReadonlySet<number>,
): Map<VertexId, number> {
  const { mesh, ground, exposure, edgeLengths, area, isAvoided } = study;
  const { charts } = study.predictor.predict(frame.cut);
  const energies = new Float64Array(mesh.edgeCount);
  const costs = new Float64Array(mesh.edgeCount).fill(Infinity);
  const promises = new Map<VertexId, number>();
  for (const chart of open)
    charts[chart]!.faceEnergies.forEach((energy, i) => {
      const f = charts[chart]!.faces[i]!;
      for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++) {
        const e = mesh.halfEdgeEdges[h]!;
        const v = mesh.cornerVertices[h]!;
        energies[e]! += (energy - 4) / 2;
        if (!isAvoided[e]) costs[e] = ground.edgeCosts[e]!;
        if (frame.isFixed[v]) promises.set(v, 0);
      }
    });
  const { parentEdges, parentVertices, order } = growDistances(mesh, [...promises.keys()], costs);
  const ways = new Float64Array(mesh.vertexCount);
  for (const v of order) {
    const e = parentEdges[v]!;
    if (e < 0) continue;
    const from = parentVertices[v]!;
    const step = edgeLengths[e]!;
    ways[v] = ways[from]! + step;
    const released = RELEASE * energies[e]! * step * (ways[from]! + step / 2);
    const seen = exposure[e]! * step;
    const promise = promises.get(from)! + released / area - (worth * seen) / Math.sqrt(area);
    promises.set(v, isUnreachable[v] ? -Infinity : promise);
  }
  return promises;
}

/** The most promising tear of each chart that is open. */
function chooseTears(study: Study, draft: SeamDraft, limits: TearLimits, open: ReadonlySet<number>): Tear[] {
  const { mesh, mirror } = study;
  const frame = study.frames.at(draft.isSeam);
  const isTaken = new Set<number>();
  const tears: Tear[] = [];
  const hopeful = [...promiseTears(study, frame, limits, open)].filter(
    ([, promise]) => promise > LEAST_SAVING,
  );
  for (const [v] of hopeful.sort((a, b) => b[1] - a[1] || a[0] - b[0])) {
    const ends = [...new Set([v, mirror?.vertexPartners[v] ?? -1])].filter((end) => end >= 0);
    const charts = new Set(ends.map((end) => frame.cut.faceCharts[vertexFace(mesh, end)]!));
    if ([...charts].some((chart) => isTaken.has(chart) || !open.has(chart))) continue;
    for (const chart of charts) isTaken.add(chart);
    tears.push({ ends, charts });
  }
  return tears;
}

/** The draft with the tears that save enough; the ways of the others are barred. */
function keepWorthy(
  { mesh, predictor, frames, exposure, edgeLengths, area }: Study,
  draft: SeamDraft,
  torn: SeamDraft,
  tears: readonly Tear[],
  worth: number,
  isUnreachable: Uint8Array,
): SeamDraft {
  const { cut } = frames.at(draft.isSeam);
  const before = predictor.predict(cut).charts;
  const after = predictor.predict(frames.at(torn.isSeam).cut).charts;
  const added = before.map((): number[] => []);
  for (let e = 0; e < mesh.edgeCount; e++)
    if (torn.isSeam[e] && !draft.isSeam[e]) added[cut.faceCharts[edgeFaces(mesh, e)[0]]!]!.push(e);
  const kept = new SeamDraft(mesh, draft);
  for (const { ends, charts } of tears) {
    let saved = 0;
    let seen = 0;
    const edges = [...charts].flatMap((chart) => {
      saved += before[chart]!.surfaceArea * (before[chart]!.energy - after[chart]!.energy);
      return added[chart]!;
    });
    for (const e of edges) seen += exposure[e]! * edgeLengths[e]!;
    if (saved / area > Math.max(LEAST_SAVING, (worth * seen) / Math.sqrt(area))) kept.add(edges, 'relief');
    else for (const v of [...ends, ...edges.flatMap((e) => edgeVertices(mesh, e))]) isUnreachable[v] = 1;
  }
  return kept;
}
