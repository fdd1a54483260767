import type { ChartTopology, CutMesh, Mesh } from '../mesh/index.js';
import {
  cutMesh,
  groupFacesByChart,
  markCutVertices,
  measureChartTopology,
  nameCharts,
} from '../mesh/index.js';
import { BoundedMap } from '../structures/index.js';

/** The charts that one choice of seams makes, with what is asked of them again and again. */
export class ChartFrame {
  readonly cut: CutMesh;
  /** 1 per vertex on a seam or border. */
  readonly isFixed: Uint8Array;
  #topologies: readonly ChartTopology[] | undefined;
  #faces: { readonly offsets: Int32Array; readonly faces: Int32Array } | undefined;

  constructor(mesh: Mesh, isSeam: Uint8Array) {
    this.cut = cutMesh(mesh, isSeam);
    this.isFixed = markCutVertices(mesh, isSeam);
  }

  get topologies(): readonly ChartTopology[] {
    this.#topologies ??= measureChartTopology(this.cut);
    return this.#topologies;
  }

  /** A text that tells a chart, with the seams within it, from all others. */
  nameChart(chart: number): string {
    return nameCharts(this.cut)[chart]!;
  }

  /** Ascending. */
  chartFaces(chart: number): Int32Array {
    this.#faces ??= groupFacesByChart(this.cut);
    const { offsets, faces } = this.#faces;
    return faces.subarray(offsets[chart]!, offsets[chart + 1]!);
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
