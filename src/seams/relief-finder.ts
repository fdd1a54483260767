import type { SymmetricMatrix } from '../linalg/index.js';
import type { Mesh, VertexAdjacency } from '../mesh/index.js';
import { buildVertexAdjacency } from '../mesh/index.js';
import { BoundedMap } from '../structures/index.js';
import type { ChartFrame } from './chart-frame.js';
import { buildMeshLaplacian } from './mesh-laplacian.js';
import type { ReliefSpot } from './relief-spots.js';
import { findReliefSpots } from './relief-spots.js';
import { ScaleSystem } from './scale-system.js';

/** Factors of charts are kept while they hold no more numbers than this, 8 bytes each. */
const KEPT_ENTRIES = 1.2e7;
/** Charts' spots are kept while their keys have no more characters than this. */
const KEPT_KEY_LENGTH = 2 ** 24;

/**
 * Finds where charts ask for relief, for one choice of seams after another on the same mesh. A chart that was
 * there before costs nothing again, and one that has only got more seams within it is not analysed again.
 */
export class ReliefFinder {
  readonly #laplacian: SymmetricMatrix;
  readonly #adjacency: VertexAdjacency;
  readonly #defects: Float64Array;
  readonly #vertexAreas: Float64Array;
  readonly #unknowns: Int32Array;
  readonly #known = new BoundedMap<string, readonly ReliefSpot[]>(KEPT_KEY_LENGTH);
  /** By outline. */
  readonly #systems = new BoundedMap<string, ScaleSystem>(KEPT_ENTRIES);

  constructor(mesh: Mesh, cornerAngles: Float64Array, faceAreas: Float64Array) {
    this.#laplacian = buildMeshLaplacian(mesh);
    this.#adjacency = buildVertexAdjacency(mesh);
    this.#defects = new Float64Array(mesh.vertexCount).fill(2 * Math.PI);
    this.#vertexAreas = new Float64Array(mesh.vertexCount);
    this.#unknowns = new Int32Array(mesh.vertexCount);
    for (let c = 0; c < mesh.cornerCount; c++) {
      const f = mesh.cornerFaces[c]!;
      const v = mesh.cornerVertices[c]!;
      this.#defects[v]! -= cornerAngles[c]!;
      this.#vertexAreas[v]! += faceAreas[f]! / (mesh.faceOffsets[f + 1]! - mesh.faceOffsets[f]!);
    }
  }

  /** Spots of all charts that stand out by at least `minProminence`, highest first. */
  find(frame: ChartFrame, minProminence: number): ReliefSpot[] {
    const spots: ReliefSpot[] = [];
    for (let chart = 0; chart < frame.cut.chartCount; chart++) {
      const key = frame.nameChart(chart);
      let own = this.#known.get(key);
      if (!own) {
        own = this.#findInChart(frame, chart);
        this.#known.set(key, own, key.length);
      }
      for (const spot of own) if (spot.prominence >= minProminence) spots.push(spot);
    }
    return spots.sort((a, b) => b.height - a.height || a.vertex - b.vertex);
  }

  #findInChart(frame: ChartFrame, chart: number): ReliefSpot[] {
    const vertices = frame.innerVertices(chart);
    if (vertices.length === 0) return [];
    const system = this.#recallSystem(frame.nameOutline(chart), vertices);
    const logScales = system.solve(frame.isFixed, this.#defects);
    const patch = { vertices, adjacency: this.#adjacency, vertexAreas: this.#vertexAreas };
    return findReliefSpots(patch, logScales, this.#unknowns);
  }

  #recallSystem(key: string, vertices: Int32Array): ScaleSystem {
    let system = this.#systems.get(key);
    if (!system) {
      system = new ScaleSystem(this.#laplacian, vertices, this.#unknowns);
      this.#systems.set(key, system, system.entryCount);
    }
    return system;
  }
}
