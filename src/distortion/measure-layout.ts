import { throwIfAborted } from '../errors.js';
import { buildRestTriangles } from '../flattening/index.js';
import { planarBounds } from '../math/index.js';
import type { ChartSurface, ChartTopology, Mesh } from '../mesh/index.js';
import { edgeFaces, edgeLength, extractCharts, measureChartTopology, requireMesh } from '../mesh/index.js';
import type { ChartDistortion } from './chart-distortion.js';
import { findChartGap } from './chart-gap.js';
import type { Overlaps, UvTriangles } from './find-overlaps.js';
import { findOverlaps } from './find-overlaps.js';
import { chartVertexUvs, cutAtUvSeams, markMappedFaces } from './layout-charts.js';
import { measureChart } from './measure-chart.js';

export interface MeasureLayoutOptions {
  /**
   * Side of the texture in pixels, for texel density and gaps.
   * @defaultValue 2048
   */
  readonly resolution?: number;
  /**
   * UVs that differ by no more than this are one.
   * @defaultValue 1e-6
   */
  readonly tolerance?: number;
  /**
   * Most pairs of overlapping faces listed.
   * @defaultValue 10000
   */
  readonly overlapLimit?: number;
  /** Stops the work, which then throws CANCELLED. @defaultValue none */
  readonly signal?: AbortSignal;
  /** Called with a share of the work done, 0..1, and what is being done. */
  readonly onProgress?: (share: number, stage: string) => void;
}

export const MEASURE_LAYOUT_DEFAULTS: Readonly<
  Required<Omit<MeasureLayoutOptions, 'signal' | 'onProgress'>>
> = Object.freeze({
  resolution: 2048,
  tolerance: 1e-6,
  overlapLimit: 10_000,
});

/** Gaps are looked for up to this many pixels. */
const GAP_REACH = 64;
/** How far outside a tile rounding may put a corner. */
const TILE_SLACK = 1e-6;

export interface LayoutChart {
  /** The caller's faces, ascending. */
  readonly faces: Int32Array;
  readonly topology: ChartTopology;
  /** Face lists here are in the caller's indices. */
  readonly distortion: ChartDistortion;
  /** Pixels per model unit, as the square root of the area ratio. */
  readonly texelDensity: number;
  /** Tile that holds the chart's centre, 1001 + u + 10 v; undefined outside the ten columns. */
  readonly tile: number | undefined;
  /** Whether all of it lies in that tile. */
  readonly isInsideTile: boolean;
}

/** What the UVs of a whole mesh are worth. */
export interface LayoutReport {
  readonly charts: readonly LayoutChart[];
  /** Chart of each face, -1 for those without UVs. */
  readonly faceCharts: Int32Array;
  /** The caller's faces without UVs, which no other figure counts. */
  readonly unmappedFaces: readonly number[];
  readonly diskCount: number;
  /** Area-weighted mean symmetric Dirichlet energy, each chart at its own best scale; 4 at best. */
  readonly energy: number;
  /** The same at one scale for all, that of the covered area, which also counts uneven scale between charts. */
  readonly energyGlobal: number;
  /** L2 stretch over all charts with one scale for all. */
  readonly stretchL2: number;
  readonly stretchLinf: number;
  readonly quasiConformal: number;
  readonly areaError: number;
  readonly angleError: number;
  /** The caller's faces turned against their chart. */
  readonly flippedFaces: readonly number[];
  readonly degenerateFaces: readonly number[];
  /** Charts laid out as seen from inside. */
  readonly mirroredCharts: readonly number[];
  /** Pixels per model unit over the whole layout. */
  readonly texelDensity: number;
  /** Greatest over least texel density of the charts. */
  readonly densitySpread: number;
  readonly overlaps: Overlaps;
  /** The caller's faces outside the unit square in part. */
  readonly outsideFaces: readonly number[];
  /** Least distance between two charts in pixels; Infinity when above 64. */
  readonly gap: number;
  /** Length of the edges between charts (borders not counted), model units. */
  readonly seamLength: number;
  readonly surfaceArea: number;
  /** Share covered of the tiles that charts lie on, overlaps counted once per pair. */
  readonly fill: number;
}

/**
 * Measures any UVs of a mesh: its charts are what the UVs hold together.
 *
 * @param cornerUvs - u v of every corner in the caller's order, 2 × cornerCount; NaN where there is none
 * @throws UV_INVALID when the length is wrong, a number infinite or no face has UVs; CANCELLED
 *
 * Near linear in the size of the mesh.
 *
 * @example
 * measureLayout(mesh, layout.uvs, { resolution: 2048 }).overlaps.pairs.length; // 0 for our layouts
 */
export function measureLayout(
  mesh: Mesh,
  cornerUvs: ArrayLike<number>,
  options: MeasureLayoutOptions = {},
): LayoutReport {
  requireMesh(mesh, 'measureLayout');
  const report = (share: number, stage: string) => {
    options.onProgress?.(share, stage);
    throwIfAborted(options.signal);
  };
  report(0, 'charts');
  const isMapped = markMappedFaces(mesh, cornerUvs);
  const resolution = options.resolution ?? MEASURE_LAYOUT_DEFAULTS.resolution;
  const tolerance = options.tolerance ?? MEASURE_LAYOUT_DEFAULTS.tolerance;
  const cut = cutAtUvSeams(mesh, cornerUvs, { tolerance, isMapped });
  const pieces = extractCharts(cut);
  const hasUvs = ({ faces }: ChartSurface) => isMapped[faces[0]!] === 1;
  const topologies = measureChartTopology(cut).filter((_, i) => hasUvs(pieces[i]!));
  const surfaces = pieces.filter(hasUvs);
  const vertexUvs = surfaces.map((surface) => chartVertexUvs(surface, cornerUvs));
  const places = vertexUvs.map(findPlace);
  const charts = surfaces.map((surface, i) => {
    report(0.3 + (0.3 * i) / surfaces.length, 'stretch');
    const known = { topology: topologies[i]!, place: places[i]!, resolution };
    return measureLayoutChart(surface, vertexUvs[i]!, known);
  });
  report(0.6, 'overlaps');
  const overlaps = findOverlaps(
    collectTriangles(surfaces, vertexUvs),
    options.overlapLimit ?? MEASURE_LAYOUT_DEFAULTS.overlapLimit,
  );
  report(0.8, 'gaps');
  let seamLength = 0;
  for (let e = 0; e < mesh.edgeCount; e++)
    if (cut.isSeam[e] && edgeFaces(mesh, e).every((f) => isMapped[f])) seamLength += edgeLength(mesh, e);
  const densities = charts.map((chart) => chart.texelDensity).filter((d) => d > 0);
  const gap = findChartGap(collectSides(surfaces, vertexUvs), GAP_REACH / resolution) * resolution;
  const tileCount = new Set(places.map(({ column, row }) => `${column} ${row}`)).size;
  report(1, 'done');
  return {
    charts,
    faceCharts: listFaceCharts(mesh, surfaces),
    unmappedFaces: Array.from(isMapped.keys()).filter((f) => !isMapped[f]),
    diskCount: topologies.filter((topology) => topology.isDisk).length,
    ...combineCharts(charts, resolution),
    densitySpread: densities.length > 0 ? Math.max(...densities) / Math.min(...densities) : Infinity,
    overlaps,
    outsideFaces: findOutside(mesh, cornerUvs),
    gap,
    seamLength,
    fill: Math.max(0, sum(charts, (chart) => Math.abs(chart.distortion.uvArea)) - overlaps.area) / tileCount,
  };
}

/** Chart of each face, -1 for those in none. */
function listFaceCharts(mesh: Mesh, surfaces: readonly ChartSurface[]): Int32Array {
  const faceCharts = new Int32Array(mesh.faceCount).fill(-1);
  surfaces.forEach(({ faces }, i) => {
    for (const f of faces) faceCharts[f] = i;
  });
  return faceCharts;
}

/** Where a chart lies. */
interface ChartPlace {
  /** Least u and v, greatest u and v. */
  readonly bounds: readonly [number, number, number, number];
  /** Of the tile that holds the middle of the bounds. */
  readonly column: number;
  readonly row: number;
}

function findPlace(uvs: Float64Array): ChartPlace {
  const bounds = planarBounds(uvs);
  const [lowU, lowV, highU, highV] = bounds;
  return { bounds, column: Math.floor((lowU + highU) / 2), row: Math.floor((lowV + highV) / 2) };
}

function measureLayoutChart(
  surface: ChartSurface,
  uvs: Float64Array,
  known: { readonly topology: ChartTopology; readonly place: ChartPlace; readonly resolution: number },
): LayoutChart {
  const { topology, place, resolution } = known;
  const local = measureChart(surface, uvs);
  const toCaller = (faces: readonly number[]) => faces.map((f) => surface.faces[f]!);
  const { column, row } = place;
  const [lowU, lowV, highU, highV] = place.bounds;
  return {
    faces: surface.faces,
    topology,
    distortion: {
      ...local,
      flippedFaces: toCaller(local.flippedFaces),
      degenerateFaces: toCaller(local.degenerateFaces),
    },
    texelDensity: resolution * Math.sqrt(Math.abs(local.uvArea) / local.surfaceArea),
    tile: column >= 0 && column < 10 && row >= 0 ? 1001 + column + 10 * row : undefined,
    isInsideTile:
      lowU >= column - TILE_SLACK &&
      highU <= column + 1 + TILE_SLACK &&
      lowV >= row - TILE_SLACK &&
      highV <= row + 1 + TILE_SLACK,
  };
}

function combineCharts(charts: readonly LayoutChart[], resolution: number) {
  const distortions = charts.map((chart) => chart.distortion);
  const surfaceArea = sum(distortions, (d) => d.surfaceArea);
  const mean = (of: (d: ChartDistortion) => number) =>
    sum(distortions, (d) => d.surfaceArea * of(d)) / surfaceArea;
  const coveredArea = sum(distortions, (d) => Math.abs(d.uvArea));
  // The two halves of the energy, Σσ² and Σσ⁻², fall out of the energy as given and the best scale.
  const squares = mean((d) => d.energyAsGiven / (1 + d.bestScale ** 4));
  const inverseSquares = mean((d) => d.energyAsGiven / (1 + d.bestScale ** -4));
  const evenScale = Math.sqrt(coveredArea / surfaceArea);
  const chartScale = (d: ChartDistortion) => Math.sqrt(Math.abs(d.uvArea) / d.surfaceArea);
  return {
    surfaceArea,
    energy: mean((d) => d.energy),
    energyGlobal: squares / evenScale ** 2 + inverseSquares * evenScale ** 2,
    stretchL2: evenScale * Math.sqrt(inverseSquares / 2),
    stretchLinf: distortions.reduce(
      (most, d) => Math.max(most, (d.stretchLinf * evenScale) / chartScale(d)),
      0,
    ),
    quasiConformal: mean((d) => d.quasiConformal),
    areaError: mean((d) => d.areaError),
    angleError: mean((d) => d.angleError),
    flippedFaces: distortions.flatMap((d) => d.flippedFaces).sort((a, b) => a - b),
    degenerateFaces: distortions.flatMap((d) => d.degenerateFaces).sort((a, b) => a - b),
    mirroredCharts: distortions.flatMap((d, i) => (d.isMirrored ? [i] : [])),
    texelDensity: resolution * evenScale,
  };
}

function sum<T>(items: readonly T[], of: (item: T) => number): number {
  let total = 0;
  for (const item of items) total += of(item);
  return total;
}

/** One plain triangulation of every chart. */
function collectTriangles(
  surfaces: readonly ChartSurface[],
  vertexUvs: readonly Float64Array[],
): UvTriangles {
  const corners: number[] = [];
  const faces: number[] = [];
  const charts: number[] = [];
  surfaces.forEach((surface, i) => {
    const rest = buildRestTriangles(surface);
    const uvs = vertexUvs[i]!;
    for (let t = 0; t < rest.triangleCount; t++) {
      if (!rest.isCore[t]) continue;
      for (let k = 0; k < 3; k++) {
        const v = rest.triangleVertices[3 * t + k]!;
        corners.push(uvs[2 * v]!, uvs[2 * v + 1]!);
      }
      faces.push(surface.faces[rest.triangleFaces[t]!]!);
      charts.push(i);
    }
  });
  return {
    corners: Float64Array.from(corners),
    faces: Int32Array.from(faces),
    charts: Int32Array.from(charts),
  };
}

function collectSides(surfaces: readonly ChartSurface[], vertexUvs: readonly Float64Array[]) {
  const ends: number[] = [];
  const charts: number[] = [];
  surfaces.forEach((surface, i) => {
    const uvs = vertexUvs[i]!;
    for (const loop of surface.borderLoops) {
      for (let k = 0; k < loop.length; k++) {
        const a = loop[k]!;
        const b = loop[(k + 1) % loop.length]!;
        ends.push(uvs[2 * a]!, uvs[2 * a + 1]!, uvs[2 * b]!, uvs[2 * b + 1]!);
        charts.push(i);
      }
    }
  });
  return { ends: Float64Array.from(ends), charts: Int32Array.from(charts) };
}

function findOutside(mesh: Mesh, cornerUvs: ArrayLike<number>): number[] {
  const outside: number[] = [];
  for (let f = 0; f < mesh.faceCount; f++) {
    let isOutside = false;
    for (let c = 2 * mesh.faceOffsets[f]!; c < 2 * mesh.faceOffsets[f + 1]!; c++)
      isOutside ||= cornerUvs[c]! < -TILE_SLACK || cornerUvs[c]! > 1 + TILE_SLACK;
    if (isOutside) outside.push(f);
  }
  return outside;
}
