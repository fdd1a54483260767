import { SeamwrightError, throwIfAborted } from '../errors.js';
import type { ChartSurface, CutMesh, Mesh, PointId, SeamEdges } from '../mesh/index.js';
import { cutMesh, extractCharts, isCutHalfEdge, requireMesh, seamMask } from '../mesh/index.js';
import type { ChartMirror, MirrorPartners } from './chart-mirror.js';
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
 * @throws HINT_INVALID when a seam is no edge, CHART_NOT_DISK when a chart is not a disk, CHART_TOO_CLOSED, CANCELLED
 *
 * @example
 * const flat = flattenCharts(mesh, proposal.sets[0]);
 * flat.charts[0].uvs; // u and v of each of flat.charts[0].corners
 */
export function flattenCharts(mesh: Mesh, set: SeamsToFlatten, options: FlattenChartsOptions = {}): FlatSet {
  requireMesh(mesh, 'flattenCharts');
  const { onProgress, signal } = options;
  const plan = planFlattening(mesh, set, options);
  const flats: FlatChart[] = [];
  let facesDone = 0;
  plan.tasks.forEach((task, i) => {
    throwIfAborted(signal);
    const image = task.image && flats[task.image.chart];
    flats[i] =
      (image && copyMirrored(task, image)) ??
      nameFailure(i, task, () => flattenChart(task.surface, task.options));
    facesDone += task.surface.faces.length;
    onProgress?.(facesDone / mesh.faceCount);
  });
  return gatherSet(plan, flats);
}

/** Flattens one chart, here or on another thread. */
export type ChartFlattener = (surface: ChartSurface, options: FlattenOptions) => Promise<FlatChart>;

/**
 * Flattens several sets of one mesh as `flattenCharts` does each, with charts that they share done once, and
 * several at a time where `flatten` can.
 *
 * @param flatten - asked at once for every chart, the largest first; only mirror images wait for their originals
 * @returns a promise for each set, in their order
 */
export function flattenSets(
  mesh: Mesh,
  sets: readonly SeamsToFlatten[],
  options: FlattenChartsOptions & { readonly flatten: ChartFlattener },
): Promise<FlatSet>[] {
  const { flatten, ...each } = options;
  const { onProgress, signal } = each;
  const plans = sets.map((set) => planFlattening(mesh, set, each));
  const started = new Map<string, Promise<FlatChart>>();
  let facesDone = 0;
  const run = async (task: FlattenTask, i: number, image: Promise<FlatChart> | undefined) => {
    const original = await image;
    throwIfAborted(signal);
    const flat =
      (original && copyMirrored(task, original)) ??
      (await flatten(task.surface, task.options).catch((error: unknown) =>
        nameFailure(i, task, () => raise(error)),
      ));
    facesDone += task.surface.faces.length;
    onProgress?.(facesDone / (sets.length * mesh.faceCount));
    return flat;
  };
  const start = (plan: FlatPlan, i: number): Promise<FlatChart> => {
    const task = plan.tasks[i]!;
    const known = started.get(task.name);
    if (known) return known;
    const flat = run(task, i, task.image && start(plan, task.image.chart));
    started.set(task.name, flat);
    return flat;
  };
  const queue = plans.flatMap((plan) =>
    plan.tasks.map((task, i) => ({ plan, i, size: task.surface.faces.length })),
  );
  for (const { plan, i } of queue.sort((a, b) => b.size - a.size)) start(plan, i);
  return plans.map(async (plan) =>
    gatherSet(plan, await Promise.all(plan.tasks.map((_, i) => start(plan, i)))),
  );
}

const raise = (error: unknown): never => {
  throw error;
};

/** One chart to flatten. */
interface FlattenTask {
  readonly surface: ChartSurface;
  readonly options: FlattenOptions;
  /** The chart before this one whose mirror image it is, and the partner there of each vertex. */
  readonly image: ChartMirror | undefined;
  /** Tells what comes out: tasks of two sets that have one name have one result. */
  readonly name: string;
}

interface FlatPlan {
  readonly set: SeamsToFlatten;
  readonly cut: CutMesh;
  readonly tasks: readonly FlattenTask[];
}

function planFlattening(mesh: Mesh, set: SeamsToFlatten, options: FlattenChartsOptions): FlatPlan {
  const { mirror, lines = [], onProgress: _onProgress, signal: _signal, ...each } = options;
  const cut = cutMesh(mesh, seamMask(mesh, set.seams));
  const surfaces = extractCharts(cut);
  const mirrors = mirror ? findChartMirrors(cut, surfaces, mirror) : [];
  const names = surfaces.map((surface) => nameChart(cut, surface));
  const tasks = surfaces.map((surface, i): FlattenTask => {
    const pins = findLinePins(mesh, surface, lines);
    const match = pins ? undefined : mirrors[i];
    const image = match && match.chart < i ? match : undefined;
    const mirrorPartners = match?.chart === i ? match.partners : undefined;
    return {
      surface,
      options: { ...each, ...(mirrorPartners && { mirrorPartners }), ...(pins && { pins }) },
      image,
      name: `${names[i]};${image ? names[image.chart] : mirrorPartners !== undefined}`,
    };
  });
  return { set, cut, tasks };
}

/** A chart is told by its first face and its border. */
function nameChart(cut: CutMesh, { faces, corners }: ChartSurface): string {
  return `${faces[0]}:${corners.filter((h) => isCutHalfEdge(cut.mesh, cut.isSeam, h)).join()}`;
}

function gatherSet({ set, cut, tasks }: FlatPlan, flats: readonly FlatChart[]): FlatSet {
  const labels: readonly (ChartLabels | undefined)[] =
    set.charts && set.charts.length === tasks.length ? set.charts : tasks.map(() => undefined);
  const charts = labels.map((label, i) => {
    const at = label ? cut.faceCharts[label.faces[0]!]! : i;
    return toFlatSetChart(tasks[at]!.surface, flats[at]!, label);
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
function copyMirrored({ surface, image }: FlattenTask, original: FlatChart): FlatChart | undefined {
  const { partners } = image!;
  const uvs = new Float64Array(2 * surface.vertexCount);
  for (let v = 0; v < surface.vertexCount; v++) {
    uvs[2 * v] = -original.uvs[2 * partners[v]!]!;
    uvs[2 * v + 1] = original.uvs[2 * partners[v]! + 1]!;
  }
  if (!original.isInjective || original.concaveFaces.length > 0) return undefined;
  const rest = buildRestTriangles(surface);
  const { energy } = bestScale(rest, uvs);
  if (!(energy <= original.energy * (1 + COPY_TOLERANCE)) || findFlippedFaces(rest, uvs).length > 0)
    return undefined;
  return { ...original, uvs, energy, surfaceArea: rest.unit * rest.unit };
}

/** Runs it; an error of the library says which chart it is about. */
function nameFailure<T>(index: number, { surface }: FlattenTask, run: () => T): T {
  try {
    return run();
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
