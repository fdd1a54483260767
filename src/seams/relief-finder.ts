import type { MirroredElements } from '../elements/index.js';
import { ElementSolver } from '../elements/index.js';
import { computeVertexAreas } from '../fields/index.js';
import { restOfMesh } from '../flattening/index.js';
import type { Mesh, VertexAdjacency } from '../mesh/index.js';
import { buildVertexAdjacency, vertexFace } from '../mesh/index.js';
import { BoundedMap } from '../structures/index.js';
import type { ChartFrame } from './chart-frame.js';
import { buildLaplacianElements } from './laplacian-elements.js';
import type { ReliefSpot } from './relief-spots.js';
import { findReliefSpots } from './relief-spots.js';

/** Charts' spots are kept while their names have no more characters than this. */
const KEPT_NAME_LENGTH = 2 ** 24;

/**
 * Finds where charts ask for relief, for one choice of seams after another on the same mesh: at peaks of the conformal
 * scale. Its logarithm u is 0 on seams and borders, where lengths are kept, and Δu = K elsewhere, K the angle defect
 * (Ben-Chen, Gotsman & Bunin 2008, "Conformal flattening by curvature prescription and metric scaling").
 */
export class ReliefFinder {
  readonly #solver: ElementSolver;
  readonly #adjacency: VertexAdjacency;
  readonly #vertexAreas: Float64Array;
  readonly #known = new BoundedMap<string, readonly ReliefSpot[]>(KEPT_NAME_LENGTH);

  constructor(mesh: Mesh, mirror: MirroredElements | undefined, cornerAngles: Float64Array) {
    const rest = restOfMesh(mesh);
    const defects = new Float64Array(mesh.vertexCount).fill(2 * Math.PI);
    for (let c = 0; c < mesh.cornerCount; c++) defects[mesh.cornerVertices[c]!]! -= cornerAngles[c]!;
    this.#solver = new ElementSolver(mesh, mirror, buildLaplacianElements(rest, mesh.faceCount), defects);
    this.#adjacency = buildVertexAdjacency(mesh);
    this.#vertexAreas = computeVertexAreas(mesh);
  }

  /** Spots of all charts that stand out by at least `minProminence`, highest first. */
  find(frame: ChartFrame, minProminence: number): ReliefSpot[] {
    const { faceCharts, mesh, chartCount } = frame.cut;
    const names = Array.from({ length: chartCount }, (_, chart) => frame.nameChart(chart));
    const charts = names.map((name) => this.#known.get(name));
    const missing = [...names.keys()].filter((chart) => !charts[chart]);
    const found = this.#findIn(frame, missing);
    for (const chart of missing) {
      charts[chart] = found.filter(({ vertex }) => faceCharts[vertexFace(mesh, vertex)] === chart);
      this.#known.set(names[chart]!, charts[chart], names[chart]!.length);
    }
    return charts
      .flatMap((spots) => spots!.filter(({ prominence }) => prominence >= minProminence))
      .sort((a, b) => b.height - a.height || a.vertex - b.vertex);
  }

  #findIn(frame: ChartFrame, charts: readonly number[]): ReliefSpot[] {
    if (charts.length === 0) return [];
    const { isFixed, cut } = frame;
    const { faceOffsets, cornerVertices } = cut.mesh;
    const heights = new Float64Array(isFixed.length);
    for (const chart of charts) {
      const faces = frame.chartFaces(chart);
      const piece = this.#solver.grounds.choose(faces, cut.isSeam);
      this.#solver.ask(piece.asked, piece.masks[0]!);
      const { ranks, values } = this.#solver.solve(piece);
      for (const f of faces)
        for (let c = faceOffsets[f]!; c < faceOffsets[f + 1]!; c++) {
          const v = cornerVertices[c]!;
          const u = piece.ground.vertexStandIns[v]!;
          if (!isFixed[v]) heights[v] = Math.abs(values[ranks[u]!]!);
        }
    }
    return findReliefSpots(this.#adjacency, this.#vertexAreas, heights);
  }
}
