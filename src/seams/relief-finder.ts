import type { ChartSurface, Mesh, VertexId } from '../mesh/index.js';
import { cutMesh, extractCharts, isCutHalfEdge } from '../mesh/index.js';
import { computeLogScales } from './chart-strain.js';
import type { ReliefSpot } from './relief-spots.js';
import { findReliefSpots } from './relief-spots.js';

/** A relief spot as a vertex of the uncut mesh, with a face of its chart. */
export interface PlacedSpot extends ReliefSpot {
  readonly vertex: VertexId;
  readonly face: number;
}

/**
 * Finds where charts ask for relief, for one choice of seams after another on the same mesh. A chart that was
 * there before costs nothing again.
 */
export class ReliefFinder {
  readonly #mesh: Mesh;
  readonly #cornerAngles: Float64Array;
  readonly #faceAreas: Float64Array;
  readonly #known = new Map<string, readonly PlacedSpot[]>();

  constructor(mesh: Mesh, cornerAngles: Float64Array, faceAreas: Float64Array) {
    this.#mesh = mesh;
    this.#cornerAngles = cornerAngles;
    this.#faceAreas = faceAreas;
  }

  /** Spots of all charts that stand out by at least `minProminence`, highest first. */
  find(isSeam: Uint8Array, minProminence: number): PlacedSpot[] {
    const cut = cutMesh(this.#mesh, isSeam);
    const spots: PlacedSpot[] = [];
    for (const surface of extractCharts(cut)) {
      const border = surface.corners.filter((h) => isCutHalfEdge(this.#mesh, isSeam, h));
      const key = `${surface.corners.length}:${surface.corners[0]}:${border.join()}`;
      let own = this.#known.get(key);
      if (!own) {
        own = this.#findInChart(surface);
        this.#known.set(key, own);
      }
      for (const spot of own) if (spot.prominence >= minProminence) spots.push(spot);
    }
    return spots.sort((a, b) => b.height - a.height || a.vertex - b.vertex);
  }

  #findInChart(surface: ChartSurface): PlacedSpot[] {
    const logScales = computeLogScales(surface, this.#cornerAngles);
    const areas = new Float64Array(surface.vertexCount);
    for (let f = 0; f < surface.faces.length; f++) {
      const first = surface.faceOffsets[f]!;
      const end = surface.faceOffsets[f + 1]!;
      const share = this.#faceAreas[surface.faces[f]!]! / (end - first);
      for (let c = first; c < end; c++) areas[surface.cornerVertices[c]!]! += share;
    }
    return findReliefSpots(surface, logScales, areas).map((spot) => ({
      ...spot,
      vertex: surface.meshVertices[spot.vertex]!,
      face: surface.faces[0]!,
    }));
  }
}
