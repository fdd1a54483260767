import type { SymmetricMatrix } from '../linalg/index.js';
import type { CutMesh, Mesh, VertexAdjacency, VertexId } from '../mesh/index.js';
import { buildVertexAdjacency, cutMesh, isCutHalfEdge } from '../mesh/index.js';
import { BoundedMap } from '../structures/index.js';
import { buildMeshLaplacian } from './mesh-laplacian.js';
import type { ReliefSpot } from './relief-spots.js';
import { findReliefSpots } from './relief-spots.js';
import { ScaleSystem } from './scale-system.js';

/** A relief spot with a face of its chart. */
export interface PlacedSpot extends ReliefSpot {
  readonly face: number;
}

/** Factors of charts are kept while they hold no more numbers than this, 8 bytes each. */
const KEPT_ENTRIES = 1.2e7;
/** Charts' spots are kept while their keys have no more characters than this. */
const KEPT_KEY_LENGTH = 2 ** 24;

/** How the charts of a cut mesh lie. */
interface ChartFrame {
  readonly cut: CutMesh;
  /** 1 per vertex on a seam or border. */
  readonly isFixed: Uint8Array;
  /** 1 per vertex on a border or between two charts. */
  readonly isOutline: Uint8Array;
  /** Border half-edges of each chart, those within it among them. */
  readonly borders: readonly number[][];
  /** Those with another chart, or nothing, across. */
  readonly outlines: readonly number[][];
  readonly firstFaces: Int32Array;
}

/**
 * Finds where charts ask for relief, for one choice of seams after another on the same mesh. A chart that was
 * there before costs nothing again, and one that has only got more seams within it is not analysed again.
 */
export class ReliefFinder {
  readonly #mesh: Mesh;
  readonly #laplacian: SymmetricMatrix;
  readonly #adjacency: VertexAdjacency;
  readonly #defects: Float64Array;
  readonly #vertexAreas: Float64Array;
  readonly #unknowns: Int32Array;
  readonly #known = new BoundedMap<string, readonly PlacedSpot[]>(KEPT_KEY_LENGTH);
  /** By outline. */
  readonly #systems = new BoundedMap<string, ScaleSystem>(KEPT_ENTRIES);

  constructor(mesh: Mesh, cornerAngles: Float64Array, faceAreas: Float64Array) {
    this.#mesh = mesh;
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
  find(isSeam: Uint8Array, minProminence: number): PlacedSpot[] {
    const frame = frameCharts(this.#mesh, isSeam);
    const spots: PlacedSpot[] = [];
    let vertices: Int32Array[] | undefined;
    for (let chart = 0; chart < frame.cut.chartCount; chart++) {
      const key = `${frame.firstFaces[chart]}:${frame.borders[chart]!.join()}`;
      let own = this.#known.get(key);
      if (!own) {
        vertices ??= listInnerVertices(this.#mesh, frame);
        own = this.#findInChart(frame, chart, vertices[chart]!);
        this.#known.set(key, own, key.length);
      }
      for (const spot of own) if (spot.prominence >= minProminence) spots.push(spot);
    }
    return spots.sort((a, b) => b.height - a.height || a.vertex - b.vertex);
  }

  #findInChart(frame: ChartFrame, chart: number, vertices: Int32Array): PlacedSpot[] {
    if (vertices.length === 0) return [];
    const face = frame.firstFaces[chart]!;
    const system = this.#recallSystem(`${face}:${frame.outlines[chart]!.join()}`, vertices);
    const logScales = system.solve(frame.isFixed, this.#defects);
    const patch = { vertices, adjacency: this.#adjacency, vertexAreas: this.#vertexAreas };
    return findReliefSpots(patch, logScales, this.#unknowns).map((spot) => ({ ...spot, face }));
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

function frameCharts(mesh: Mesh, isSeam: Uint8Array): ChartFrame {
  const cut = cutMesh(mesh, isSeam);
  const { faceCharts, chartCount } = cut;
  const isFixed = new Uint8Array(mesh.vertexCount);
  const isOutline = new Uint8Array(mesh.vertexCount);
  const borders: number[][] = Array.from({ length: chartCount }, () => []);
  const outlines: number[][] = Array.from({ length: chartCount }, () => []);
  for (let h = 0; h < mesh.cornerCount; h++) {
    if (!isCutHalfEdge(mesh, isSeam, h)) continue;
    const tail = mesh.cornerVertices[h]!;
    const head = mesh.cornerVertices[mesh.next[h]!]!;
    const chart = faceCharts[mesh.cornerFaces[h]!]!;
    const twin = mesh.twin[h]!;
    borders[chart]!.push(h);
    isFixed[tail] = 1;
    isFixed[head] = 1;
    if (twin >= 0 && faceCharts[mesh.cornerFaces[twin]!] === chart) continue;
    outlines[chart]!.push(h);
    isOutline[tail] = 1;
    isOutline[head] = 1;
  }
  const firstFaces = new Int32Array(chartCount);
  for (let f = mesh.faceCount - 1; f >= 0; f--) firstFaces[faceCharts[f]!] = f;
  return { cut, isFixed, isOutline, borders, outlines, firstFaces };
}

/** Vertices inside the outline of each chart, ascending. */
function listInnerVertices(mesh: Mesh, { cut, isOutline }: ChartFrame): Int32Array[] {
  const chartOf = (v: VertexId) => cut.faceCharts[mesh.cornerFaces[mesh.vertexHalfEdges[v]!]!]!;
  const counts = new Int32Array(cut.chartCount);
  for (let v = 0; v < mesh.vertexCount; v++) if (!isOutline[v]) counts[chartOf(v)]!++;
  const lists = Array.from(counts, (count) => new Int32Array(count));
  counts.fill(0);
  for (let v = 0; v < mesh.vertexCount; v++) if (!isOutline[v]) lists[chartOf(v)]![counts[chartOf(v)]!++] = v;
  return lists;
}
