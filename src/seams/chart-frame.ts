import type { ChartTopology, CutMesh, Mesh, VertexId } from '../mesh/index.js';
import {
  cutMesh,
  edgeVertices,
  groupFacesByChart,
  isCutHalfEdge,
  measureChartTopology,
  vertexFace,
} from '../mesh/index.js';
import { BoundedMap } from '../structures/index.js';

/** The charts that one choice of seams makes, with what is asked of them again and again. */
export class ChartFrame {
  readonly cut: CutMesh;
  /** 1 per vertex on a seam or border. */
  readonly isFixed: Uint8Array;
  /** 1 per vertex on a border or between two charts. */
  readonly isOutline: Uint8Array;
  readonly firstFaces: Int32Array;
  readonly #borders: number[][];
  readonly #outlines: number[][];
  readonly #names: string[] = [];
  #topologies: readonly ChartTopology[] | undefined;
  #innerVertices: readonly Int32Array[] | undefined;
  #faces: { readonly offsets: Int32Array; readonly faces: Int32Array } | undefined;

  constructor(mesh: Mesh, isSeam: Uint8Array) {
    this.cut = cutMesh(mesh, isSeam);
    const { faceCharts, chartCount } = this.cut;
    const isFixed = new Uint8Array(mesh.vertexCount);
    const isOutline = new Uint8Array(mesh.vertexCount);
    this.isFixed = isFixed;
    this.isOutline = isOutline;
    const borders: number[][] = Array.from({ length: chartCount }, () => []);
    const outlines: number[][] = Array.from({ length: chartCount }, () => []);
    this.#borders = borders;
    this.#outlines = outlines;
    for (let e = 0; e < mesh.edgeCount; e++) {
      const lower = mesh.edgeHalfEdges[e]!;
      if (!isCutHalfEdge(mesh, isSeam, lower)) continue;
      const twin = mesh.twin[lower]!;
      const [tail, head] = edgeVertices(mesh, e);
      const chart = faceCharts[mesh.cornerFaces[lower]!]!;
      const other = twin < 0 ? -1 : faceCharts[mesh.cornerFaces[twin]!]!;
      isFixed[tail] = isFixed[head] = 1;
      borders[chart]!.push(lower);
      if (twin >= 0) borders[other]!.push(twin);
      if (other === chart) continue;
      isOutline[tail] = isOutline[head] = 1;
      outlines[chart]!.push(lower);
      if (twin >= 0) outlines[other]!.push(twin);
    }
    this.firstFaces = new Int32Array(chartCount);
    for (let f = mesh.faceCount - 1; f >= 0; f--) this.firstFaces[faceCharts[f]!] = f;
  }

  get topologies(): readonly ChartTopology[] {
    this.#topologies ??= measureChartTopology(this.cut);
    return this.#topologies;
  }

  /** A text that tells a chart, with the seams within it, from all others. */
  nameChart(chart: number): string {
    this.#names[chart] ??= `${this.firstFaces[chart]}:${this.#borders[chart]!.join()}`;
    return this.#names[chart]!;
  }

  /** A text that tells the faces of a chart from those of all others. */
  nameOutline(chart: number): string {
    return `${this.firstFaces[chart]}:${this.#outlines[chart]!.join()}`;
  }

  /** Ascending. */
  chartFaces(chart: number): Int32Array {
    this.#faces ??= groupFacesByChart(this.cut);
    const { offsets, faces } = this.#faces;
    return faces.subarray(offsets[chart]!, offsets[chart + 1]!);
  }

  /** Vertices inside the outline of a chart, ascending; those on seams within it among them. */
  innerVertices(chart: number): Int32Array {
    this.#innerVertices ??= this.#listInnerVertices();
    return this.#innerVertices[chart]!;
  }

  #listInnerVertices(): Int32Array[] {
    const { mesh, faceCharts, chartCount } = this.cut;
    const chartOf = (v: VertexId) => faceCharts[vertexFace(mesh, v)]!;
    const counts = new Int32Array(chartCount);
    for (let v = 0; v < mesh.vertexCount; v++) if (!this.isOutline[v]) counts[chartOf(v)]!++;
    const lists = Array.from(counts, (count) => new Int32Array(count));
    counts.fill(0);
    for (let v = 0; v < mesh.vertexCount; v++)
      if (!this.isOutline[v]) lists[chartOf(v)]![counts[chartOf(v)]!++] = v;
    return lists;
  }
}

/** Frames are kept while the corners of their meshes come to no more than this. */
const KEPT_CORNERS = 2 ** 23;

/** Frames of one mesh. Drawing asks for the same seams again and again, so the latest frames are kept. */
export class ChartFrames {
  readonly #mesh: Mesh;
  readonly #kept = new BoundedMap<number, ChartFrame>(KEPT_CORNERS);

  constructor(mesh: Mesh) {
    this.#mesh = mesh;
  }

  at(isSeam: Uint8Array): ChartFrame {
    const key = hashSeams(isSeam);
    const known = this.#kept.get(key);
    if (known && isSame(known.cut.isSeam, isSeam)) return known;
    // Callers go on drawing into their own.
    const frame = new ChartFrame(this.#mesh, isSeam.slice());
    this.#kept.set(key, frame, this.#mesh.cornerCount);
    return frame;
  }
}

function hashSeams(isSeam: Uint8Array): number {
  let hash = 0;
  for (let e = 0; e < isSeam.length; e++) if (isSeam[e]) hash = (Math.imul(hash, 31) + e) | 0;
  return hash;
}

function isSame(a: Uint8Array, b: Uint8Array): boolean {
  for (let e = 0; e < a.length; e++) if (a[e] !== b[e]) return false;
  return true;
}
