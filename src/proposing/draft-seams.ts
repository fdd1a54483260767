import { throwIfAborted } from '../errors.js';
import type { VertexId } from '../mesh/index.js';
import { cutMesh, measureChartTopology, openMesh } from '../mesh/index.js';
import { computeStrain, connectCharts, cutHandles, findReliefSpots, SeamDraft } from '../seams/index.js';
import type { Study } from './study-mesh.js';

/** How one seam set is drawn. */
export interface Strategy {
  readonly name: string;
  /** How border loops across the mirror plane are joined. */
  readonly trunk: 'centre' | 'sides';
  /** A peak of |log scale| is opened when it stands out by this much. */
  readonly reliefProminence: number;
}

const RELIEF_ROUNDS = 12;
const SPOTS_PER_ROUND = 16;
const REPAIR_ROUNDS = 6;

/** Draws one seam set from what is given: every chart is opened to a disk and relieved. */
export function draftSeams(
  study: Study,
  start: SeamDraft,
  strategy: Strategy,
  signal?: AbortSignal,
): SeamDraft {
  const draft = new SeamDraft(study.mesh, start);
  openDisks(study, draft, strategy);
  for (let round = 0; round < RELIEF_ROUNDS; round++) {
    throwIfAborted(signal);
    const terminals = reliefTerminals(study, draft, strategy);
    if (terminals.length === 0) break;
    const paths = connectCharts(study.ground, draft.isSeam, { terminals, trunk: strategy.trunk });
    if (paths.length === 0) break;
    for (const path of paths) draft.add(path.edges, 'relief');
  }
  openDisks(study, draft, strategy);
  return draft;
}

/** Cuts handles and joins borders until every chart is a disk. */
export function openDisks(study: Study, draft: SeamDraft, strategy: Pick<Strategy, 'trunk'>): void {
  const { mesh, ground } = study;
  for (let round = 0; round < REPAIR_ROUNDS; round++) {
    if (measureChartTopology(cutMesh(mesh, draft.isSeam)).every((chart) => chart.isDisk)) return;
    const opened = openMesh(mesh, draft.isSeam);
    const costs = Float64Array.from(opened.edges, (e) => ground.edgeCosts[e]!);
    draft.add(
      cutHandles(opened.mesh, costs).map((e) => opened.edges[e]!),
      'handle',
    );
    for (const path of connectCharts(ground, draft.isSeam, { trunk: strategy.trunk }))
      draft.add(path.edges, 'opening');
  }
}

/** The most strained vertices of the charts, with their mirror images. */
function reliefTerminals(study: Study, draft: SeamDraft, strategy: Strategy): VertexId[] {
  const { mesh, mirror, ground, faceAreas } = study;
  const opened = openMesh(mesh, draft.isSeam).mesh;
  const strain = computeStrain(opened, ground.cornerAngles, faceAreas);
  const toUncut = new Int32Array(opened.vertexCount);
  for (let c = 0; c < mesh.cornerCount; c++) toUncut[opened.cornerVertices[c]!] = mesh.cornerVertices[c]!;
  const terminals = new Set<VertexId>();
  for (const spot of findReliefSpots(opened, strain.vertexScales, strategy.reliefProminence).slice(
    0,
    SPOTS_PER_ROUND,
  )) {
    const v = toUncut[spot.vertex]!;
    terminals.add(v);
    const partner = mirror?.vertexPartners[v] ?? -1;
    if (partner >= 0) terminals.add(partner);
  }
  return [...terminals];
}
