import type { PredictedChart } from '../distortion/index.js';
import type { ChartTopology, EdgeId } from '../mesh/index.js';
import { edgeFaces, groupFacesByChart } from '../mesh/index.js';
import type { SeamArc, SeamDraft } from '../seams/index.js';
import { findSeamArcs } from '../seams/index.js';
import { findDeadEnds } from './dead-ends.js';
import { explainSeam } from './explain-seam.js';
import type { ChartForecast, ChartPrediction, ProposedChart, Seam, SetCriteria, Side } from './proposal.js';
import { estimateSaving } from './prune-seams.js';
import type { Study } from './study-mesh.js';

/** A drawn set in the caller's indices, before it is ranked. */
export interface DescribedSet {
  readonly seams: readonly Seam[];
  readonly charts: readonly ProposedChart[];
  readonly prediction: ChartPrediction;
  readonly criteria: SetCriteria;
}

/**
 * Turns a draft on the canonical mesh into seams and charts of the caller's mesh.
 *
 * @param worth - what dead ends had to save to stay
 */
export function describeSet(study: Study, draft: SeamDraft, worth: number): DescribedSet {
  const { mesh, source, canonical } = study;
  const frame = study.frames.at(draft.isSeam);
  const { cut, topologies } = frame;
  const prediction = study.predictor.predict(cut);
  const scale = source.diagonal;
  const { offsets, faces } = groupFacesByChart(cut);
  const partnerCharts = findPartnerCharts(study, cut.faceCharts, cut.chartCount);
  const charts = Array.from({ length: cut.chartCount }, (_, i): ProposedChart => {
    const own = faces.subarray(offsets[i]!, offsets[i + 1]!);
    const label = labelFaces(study, own);
    return {
      faces: own.map((f) => canonical.faces[f]!).sort(),
      ...label,
      topology: topologies[i] as ChartTopology,
      prediction: describePrediction(study, prediction.charts[i]!),
      area: prediction.charts[i]!.surfaceArea * scale * scale,
      ...(partnerCharts[i]! >= 0 && partnerCharts[i]! < i && { mirrorOf: partnerCharts[i]! }),
    };
  });
  const arcs = findSeamArcs(mesh, draft);
  const savings = new Map<EdgeId, number>();
  for (const end of findDeadEnds(study, draft)) {
    const saving = estimateSaving(study, draft.isSeam, end, worth);
    for (const e of [...end.edges, ...end.twin]) savings.set(e, end.twin.length > 0 ? saving / 2 : saving);
  }
  const seams = arcs.map((arc) => describeSeam(study, arc, savings.get(arc.edges[0]!)));
  const { energy, energyLow, energyHigh } = prediction;
  return {
    seams,
    charts,
    prediction: { energy, energyLow, energyHigh },
    criteria: {
      ...measureSeams(study, arcs),
      stretch: energy - 4,
      pieces: charts.length,
      fill: expectFill(study, faces, offsets),
    },
  };
}

function describePrediction(study: Study, chart: PredictedChart): ChartForecast {
  const { source, canonical } = study;
  const { energy, energyLow, energyHigh, areaSpread, worstFace, worstVertex } = chart;
  return {
    energy,
    energyLow,
    energyHigh,
    areaSpread,
    worstFace: worstFace < 0 ? -1 : canonical.faces[worstFace]!,
    worstPoint: worstVertex < 0 ? -1 : source.vertexPoints[canonical.vertices[worstVertex]!]!,
  };
}

function describeSeam(study: Study, arc: SeamArc, saving: number | undefined): Seam {
  const { source, canonical, mesh } = study;
  const edges = arc.edges.map((e, i): [number, number] => {
    const h = source.edgeHalfEdges[canonical.edges[e]!]!;
    const tail = source.cornerPoints[h]!;
    const head = source.cornerPoints[source.next[h]!]!;
    const startsAtTail = source.cornerVertices[h] === canonical.vertices[arc.vertices[i]!];
    return startsAtTail ? [tail, head] : [head, tail];
  });
  const { length, exposed } = measureArc(study, arc);
  const figures = {
    length: length * source.diagonal,
    exposure: length > 0 ? exposed / length : 0,
    ...(saving !== undefined && { saving }),
  };
  const facesBeside = arc.edges.flatMap((e) => edgeFaces(mesh, e)).filter((f) => f >= 0);
  const label = labelFaces(study, Int32Array.from(new Set(facesBeside)));
  return {
    role: arc.role,
    ...label,
    edges,
    vertices: [...edges.map((pair) => pair[0]), edges[edges.length - 1]![1]],
    ...figures,
    reason: explainSeam(arc.role, label.part, label.side, figures),
  };
}

function measureArc(study: Study, arc: SeamArc): { length: number; exposed: number; exposedFront: number } {
  let length = 0;
  let exposed = 0;
  let exposedFront = 0;
  for (const e of arc.edges) {
    length += study.edgeLengths[e]!;
    exposed += study.edgeLengths[e]! * study.exposure[e]!;
    exposedFront += study.edgeLengths[e]! * study.frontExposure[e]!;
  }
  return { length, exposed, exposedFront };
}

function measureSeams(
  study: Study,
  arcs: readonly SeamArc[],
): Pick<SetCriteria, 'exposure' | 'frontExposure' | 'seamLength' | 'symmetry'> {
  let seamLength = 0;
  let exposure = 0;
  let frontExposure = 0;
  const isSeam = new Set<number>();
  for (const arc of arcs) {
    const measured = measureArc(study, arc);
    seamLength += measured.length;
    exposure += measured.exposed;
    frontExposure += measured.exposedFront;
    for (const e of arc.edges) isSeam.add(e);
  }
  let mirrored = 0;
  for (const e of isSeam) {
    const partner = study.mirror?.edgePartners[e] ?? -1;
    if (partner >= 0 && isSeam.has(partner)) mirrored += study.edgeLengths[e]!;
  }
  const root = Math.sqrt(study.area);
  return {
    exposure: exposure / root,
    frontExposure: frontExposure / root,
    seamLength: seamLength / root,
    symmetry: seamLength > 0 ? Math.min(1, mirrored / seamLength) : 1,
  };
}

/** Chart that holds the mirror images of each chart's faces, -1 for none or itself. */
function findPartnerCharts(study: Study, faceCharts: Int32Array, chartCount: number): Int32Array {
  const partners = new Int32Array(chartCount).fill(-1);
  if (!study.mirror) return partners;
  const isMixed = new Uint8Array(chartCount);
  for (let f = 0; f < faceCharts.length; f++) {
    const image = study.mirror.facePartners[f]!;
    const chart = faceCharts[f]!;
    const other = image < 0 ? -2 : faceCharts[image]!;
    if (partners[chart] === -1) partners[chart] = other;
    else if (partners[chart] !== other) isMixed[chart] = 1;
  }
  return partners.map((other, chart) => (isMixed[chart] || other < 0 || other === chart ? -1 : other));
}

/** The part most of the faces' area belongs to; a limb counts whole, with its hand and fingers. */
export function labelFaces(study: Study, faces: Int32Array): { part: string; side: Side } {
  const { parts, faceParts } = study.parts;
  const areas = new Float64Array(parts.length);
  let total = 0;
  for (const f of faces) {
    areas[faceParts[f]!]! += study.faceAreas[f]!;
    total += study.faceAreas[f]!;
  }
  let best = 0;
  areas.forEach((area, i) => {
    if (area > areas[best]!) best = i;
  });
  const isShared =
    total > 0 &&
    areas[best]! < 0.5 * total &&
    parts.some((p, i) => p.name === 'torso' && areas[i]! > 0.15 * total);
  if (isShared) return { part: 'body', side: 'centre' };
  return { part: parts[best]!.name, side: parts[best]!.side };
}

/**
 * What compact charts and strips fill of a sheet, and how much of it each limb that sticks out of a chart costs.
 * Packed bodies in 1, 2, 6 and 10 charts filled 0.38, 0.47, 0.63 and 0.70; these figures give 0.40, 0.48, 0.65, 0.72.
 */
const COMPACT_FILL = 0.76;
const FILL_PER_LIMB = 0.045;
const LIMB_NAMES: ReadonlySet<string> = new Set([
  'head',
  'arm',
  'leg',
  'hand',
  'foot',
  'wing',
  'tail',
  'branch',
]);

/** Expected fill: charts with several limbs are stars, and stars pack badly. Weighted by area. */
function expectFill(study: Study, faces: Int32Array, offsets: Int32Array): number {
  const { parts, faceParts } = study.parts;
  let sum = 0;
  for (let i = 0; i + 1 < offsets.length; i++) {
    const areas = new Float64Array(parts.length);
    let area = 0;
    for (let k = offsets[i]!; k < offsets[i + 1]!; k++) {
      areas[faceParts[faces[k]!]!]! += study.faceAreas[faces[k]!]!;
      area += study.faceAreas[faces[k]!]!;
    }
    const limbs = parts.filter((part, p) => LIMB_NAMES.has(part.name) && areas[p]! > 0.02 * area).length;
    sum += area * (COMPACT_FILL - FILL_PER_LIMB * Math.max(0, limbs - 1));
  }
  return Math.max(0.2, sum / study.area);
}
