import { SeamwrightError, throwIfAborted } from '../errors.js';
import type { ChartSurface, Mesh, PointId, SeamEdges } from '../mesh/index.js';
import { cutMesh, extractCharts, seamMask } from '../mesh/index.js';
import type { MirrorPartners } from './chart-mirror.js';
import { findChartMirrors } from './chart-mirror.js';
import { bestScale } from './distortion-energy.js';
import type { FlatChart } from './flatten-chart.js';
import { flattenChart } from './flatten-chart.js';
import type { FlattenOptions } from './flatten-options.js';
import { findFlippedFaces } from './judge-map.js';
import type { Pins } from './pins.js';
import { buildRestTriangles } from './rest-triangles.js';

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
export interface FlatSetChart
  extends Omit<FlatChart, 'uvs' | 'crossingFaces' | 'concaveFaces' | 'flippedFaces'> {
  /** The caller's faces, ascending. */
  readonly faces: Int32Array;
  /** The caller's corners (indices into faceVertexIndices). */
  readonly corners: Int32Array;
  /** uv of each of `corners`, 2 × corners.length, model units. */
  readonly uvs: Float64Array;
  readonly surface: ChartSurface;
  /** The caller's faces beside border sides that cross, when the chart overlaps itself. */
  readonly crossingFaces: readonly number[];
  /** The caller's faces that came out flipped; none, unless numbers gave out. */
  readonly flippedFaces: readonly number[];
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

export interface FlattenChartsOptions extends Omit<FlattenOptions, 'mirrorPartners' | 'pins' | 'borderUvs'> {
  /**
   * The mesh's mirror, as `findMirror` gives it: charts across the plane come out symmetric, charts on either
   * side as mirror images of one another.
   * @defaultValue no symmetry is asked for
   */
  readonly mirror?: MirrorPartners | undefined;
  /**
   * Chains of the caller's points; those of a chain that lie inside one chart come out on a straight upright
   * line of it, the first lowest. Such a chart is not made symmetric. Points on a seam have several places and
   * are passed over.
   * @defaultValue none
   */
  readonly lines?: readonly (readonly PointId[])[] | undefined;
  /** Called after each chart with the share of the faces done, 0..1. */
  readonly onProgress?: ((share: number) => void) | undefined;
  /** Stops the work between charts. */
  readonly signal?: AbortSignal | undefined;
}

/**
 * Flattens every chart that the seams cut the mesh into.
 *
 * @param set - seams as point pairs; with `charts`, the result has their order and labels
 * @throws HINT_INVALID when a seam is no edge, CHART_NOT_DISK when a chart is not a disk, CANCELLED
 *
 * @example
 * const flat = flattenCharts(mesh, proposal.sets[0]);
 * flat.charts[0].uvs; // u and v of each of flat.charts[0].corners
 */
export function flattenCharts(mesh: Mesh, set: SeamsToFlatten, options: FlattenChartsOptions = {}): FlatSet {
  const { mirror, lines = [], onProgress, signal, ...each } = options;
  const cut = cutMesh(mesh, seamMask(mesh, set.seams));
  const surfaces = extractCharts(cut);
  const mirrors = mirror ? findChartMirrors(cut, surfaces, mirror) : [];
  const flats: FlatChart[] = [];
  let facesDone = 0;
  surfaces.forEach((surface, i) => {
    throwIfAborted(signal);
    const pins = findLinePins(mesh, surface, lines);
    const match = pins ? undefined : mirrors[i];
    const image = match && match.chart < i ? flats[match.chart] : undefined;
    const mirrorPartners = match?.chart === i ? match.partners : undefined;
    flats[i] =
      (image && match && copyMirrored(surface, image, match.partners)) ??
      flattenNumbered(surface, i, { ...each, mirrorPartners, pins });
    facesDone += surface.faces.length;
    onProgress?.(facesDone / mesh.faceCount);
  });
  const labels: readonly (ChartLabels | undefined)[] =
    set.charts && set.charts.length === surfaces.length ? set.charts : surfaces.map(() => undefined);
  const charts = labels.map((label, i) => {
    const at = label ? cut.faceCharts[label.faces[0]!]! : i;
    return toFlatSetChart(surfaces[at]!, flats[at]!, label);
  });
  let area = 0;
  let sum = 0;
  for (const chart of charts) {
    area += chart.surfaceArea;
    sum += chart.surfaceArea * chart.energy;
  }
  return { charts, energy: sum / area };
}

/** The chains' points as vertices of a chart; undefined when fewer than two of every chain lie in it. */
function findLinePins(
  mesh: Mesh,
  surface: ChartSurface,
  lines: readonly (readonly PointId[])[],
): Pins | undefined {
  if (lines.length === 0) return undefined;
  const places = new Map<PointId, number>();
  surface.corners.forEach((corner, c) => {
    const point = mesh.cornerPoints[corner]!;
    const vertex = surface.cornerVertices[c]!;
    places.set(point, (places.get(point) ?? vertex) === vertex ? vertex : -1);
  });
  const found = lines
    .map((line) => [...new Set(line.map((point) => places.get(point) ?? -1).filter((v) => v >= 0))])
    .filter((vertices) => vertices.length >= 2);
  if (found.length === 0) return undefined;
  return { lines: found.map((vertices) => ({ vertices, direction: 'vertical' as const })) };
}

/** A copied map may have this much more energy than its original, where the two sides differ slightly. */
const COPY_TOLERANCE = 1e-3;

/** The mirror image's map turned over, when it is as good here as there. */
function copyMirrored(surface: ChartSurface, image: FlatChart, partners: Int32Array): FlatChart | undefined {
  const uvs = new Float64Array(2 * surface.vertexCount);
  for (let v = 0; v < surface.vertexCount; v++) {
    uvs[2 * v] = -image.uvs[2 * partners[v]!]!;
    uvs[2 * v + 1] = image.uvs[2 * partners[v]! + 1]!;
  }
  if (!image.isInjective || image.concaveFaces.length > 0) return undefined;
  const rest = buildRestTriangles(surface);
  const { energy } = bestScale(rest, uvs);
  if (!(energy <= image.energy * (1 + COPY_TOLERANCE)) || findFlippedFaces(rest, uvs).length > 0)
    return undefined;
  return { ...image, uvs, energy, surfaceArea: rest.unit * rest.unit };
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
    flippedFaces: flat.flippedFaces.map((f) => surface.faces[f]!),
    concaveFaces: flat.concaveFaces.map((f) => surface.faces[f]!),
    crossingFaces: flat.crossingFaces.map((f) => surface.faces[f]!),
    part: label?.part,
    side: label?.side,
    mirrorOf: label?.mirrorOf,
  };
}
