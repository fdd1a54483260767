import { SeamwrightError } from '../errors.js';
import type { ChartSurface, Mesh, SeamEdges } from '../mesh/index.js';
import { cutMesh, extractCharts, seamMask } from '../mesh/index.js';
import type { FlatChart } from './flatten-chart.js';
import { flattenChart } from './flatten-chart.js';
import type { FlattenOptions } from './flatten-options.js';

/** What a chart of a seam set may say about itself; carried over to the flat chart. */
export interface ChartLabels {
  readonly faces: ArrayLike<number>;
  readonly part?: string | undefined;
  readonly side?: string | undefined;
  readonly mirrorOf?: number | undefined;
}

/** Seams, and optionally the charts between them in the order wanted. */
export interface SeamsToFlatten {
  readonly seams: readonly SeamEdges[];
  readonly charts?: readonly ChartLabels[];
}

/** A flattened chart in the caller's indices. */
export interface FlatSetChart extends Omit<FlatChart, 'uvs' | 'crossingFaces' | 'concaveFaces'> {
  /** The caller's faces, ascending. */
  readonly faces: Int32Array;
  /** The caller's corners (indices into faceVertexIndices). */
  readonly corners: Int32Array;
  /** uv of each of `corners`, 2 × corners.length, model units. */
  readonly uvs: Float64Array;
  readonly surface: ChartSurface;
  /** The caller's faces beside border sides that cross, when the chart overlaps itself. */
  readonly crossingFaces: readonly number[];
  /** The caller's faces that could not be laid out as convex polygons. */
  readonly concaveFaces: readonly number[];
  readonly part?: string | undefined;
  readonly side?: string | undefined;
  readonly mirrorOf?: number | undefined;
}

export interface FlatSet {
  readonly charts: readonly FlatSetChart[];
  /** Area-weighted mean of the charts' energies. */
  readonly energy: number;
}

/**
 * Flattens every chart that the seams cut the mesh into.
 *
 * @param set - seams as point pairs; with `charts`, the result has their order and labels
 * @throws HINT_INVALID when a seam is no edge, CHART_NOT_DISK when a chart is not a disk
 */
export function flattenCharts(mesh: Mesh, set: SeamsToFlatten, options: FlattenOptions = {}): FlatSet {
  const cut = cutMesh(mesh, seamMask(mesh, set.seams));
  const surfaces = extractCharts(cut);
  const labels: readonly (ChartLabels | undefined)[] =
    set.charts && set.charts.length === surfaces.length ? set.charts : surfaces.map(() => undefined);
  const charts = labels.map((label, i) => {
    const surface = surfaces[label ? cut.faceCharts[label.faces[0]!]! : i]!;
    return toFlatSetChart(surface, flattenNumbered(surface, i, options), label);
  });
  let area = 0;
  let sum = 0;
  for (const chart of charts) {
    area += chart.surfaceArea;
    sum += chart.surfaceArea * chart.energy;
  }
  return { charts, energy: sum / area };
}

function flattenNumbered(surface: ChartSurface, index: number, options: FlattenOptions): FlatChart {
  try {
    return flattenChart(surface, options);
  } catch (error) {
    if (!(error instanceof SeamwrightError)) throw error;
    throw new SeamwrightError(
      error.code,
      `flattenCharts: chart ${index} (first face ${surface.faces[0]}): ${error.message}`,
      { ...error.details, chart: index },
      { cause: error },
    );
  }
}

function toFlatSetChart(
  surface: ChartSurface,
  flat: FlatChart,
  label: ChartLabels | undefined,
): FlatSetChart {
  const { corners, cornerVertices } = surface;
  const uvs = new Float64Array(2 * corners.length);
  for (let c = 0; c < corners.length; c++) {
    uvs[2 * c] = flat.uvs[2 * cornerVertices[c]!]!;
    uvs[2 * c + 1] = flat.uvs[2 * cornerVertices[c]! + 1]!;
  }
  return {
    ...flat,
    faces: surface.faces,
    corners,
    uvs,
    surface,
    concaveFaces: flat.concaveFaces.map((f) => surface.faces[f]!),
    crossingFaces: flat.crossingFaces.map((f) => surface.faces[f]!),
    part: label?.part,
    side: label?.side,
    mirrorOf: label?.mirrorOf,
  };
}
