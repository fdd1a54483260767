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
    const { faceCharts, mesh } = frame.cut;
    const names = Array.from(frame.firstFaces, (_, chart) => frame.nameChart(chart));
    const charts = names.map((name) => this.#known.get(name));
    if (charts.includes(undefined)) {
      const all = this.#findAll(frame);
      for (const [chart, name] of names.entries()) {
        charts[chart] ??= all.filter(({ vertex }) => faceCharts[vertexFace(mesh, vertex)] === chart);
        this.#known.set(name, charts[chart], name.length);
      }
    }
    return charts
      .flatMap((spots) => spots!.filter(({ prominence }) => prominence >= minProminence))
      .sort((a, b) => b.height - a.height || a.vertex - b.vertex);
  }

  #findAll({ cut, isFixed }: ChartFrame): ReliefSpot[] {
    const ground = this.#solver.grounds.choose(cut.isSeam);
    const tree = this.#solver.on(ground);
    const isFree = isFixed.map((is) => 1 - is);
    tree.solve(ground.tree.faces, isFree);
    const heights = new Float64Array(isFixed.length);
    for (let v = 0; v < heights.length; v++) {
      const rank = tree.ranks[ground.vertexStandIns[v]!]!;
      if (!isFixed[v]) heights[v] = Math.abs(tree.values[rank]!);
    }
    return findReliefSpots(this.#adjacency, this.#vertexAreas, heights);
  }
}
