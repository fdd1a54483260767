import { NumericalError, SeamwrightError } from '../errors.js';
import type { ChartSurface } from '../mesh/index.js';
import { embedBarycentric } from './barycentric.js';
import { buildBlockPattern } from './block-pattern.js';
import { BorderBarrier } from './border-barrier.js';
import { findBorderCrossings } from './border-crossings.js';
import { flattenBoundaryFirst } from './boundary-first.js';
import type { DescentOptions, DescentResult } from './descend.js';
import { descend } from './descend.js';
import { bestScale, isClearlyPositive } from './distortion-energy.js';
import type { FlattenMethod, FlattenOptions } from './flatten-options.js';
import { FLATTEN_DEFAULTS } from './flatten-options.js';
import type { RestTriangles } from './rest-triangles.js';
import { buildRestTriangles } from './rest-triangles.js';

/** Weights along the levels tried one after the other, against the shrinking of long closed tubes. */
const LEVEL_WEIGHTS = [1, 0.03, 1e-3, 1e-5];

/** A flattened chart. */
export interface FlatChart {
  /** uv of each local vertex, 2 × vertexCount, in model units, counter-clockwise seen from outside. */
  readonly uvs: Float64Array;
  readonly method: FlattenMethod;
  /** Area-weighted mean symmetric Dirichlet energy at the chart's best scale; 4 is an isometry. */
  readonly energy: number;
  /** Area of the chart in space, in squared model units. */
  readonly surfaceArea: number;
  readonly iterations: number;
  readonly isConverged: boolean;
  /** No two places of the chart share a UV. */
  readonly isInjective: boolean;
  /**
   * Local faces that could not be laid out as convex polygons, as where two polygons share a vertex of no
   * other face: some of their fan triangulations have a flipped triangle, though not all.
   */
  readonly concaveFaces: readonly number[];
  /** Local faces beside border sides that cross, when the chart overlaps itself. */
  readonly crossingFaces: readonly number[];
}

/**
 * Flattens a chart.
 *
 * @throws CHART_NOT_DISK when the chart has no border, several, or a handle
 */
export function flattenChart(surface: ChartSurface, options: FlattenOptions = {}): FlatChart {
  const border = checkDisk(surface);
  const descent = {
    iterationLimit: options.iterationLimit ?? FLATTEN_DEFAULTS.iterationLimit,
    tolerance: options.tolerance ?? FLATTEN_DEFAULTS.tolerance,
  };
  const { rest, result } = descendFrom(findStart(surface, border), surface, border, descent);
  const crossings = findBorderCrossings(outlineOf(border, result.uvs));
  const { scale, energy } = bestScale(rest, result.uvs);
  const uvs = result.uvs.map((x) => x * scale * rest.unit);
  return {
    uvs,
    method: 'isometric',
    energy,
    surfaceArea: rest.unit * rest.unit,
    iterations: result.iterations,
    isConverged: result.isConverged,
    isInjective: crossings.length === 0,
    concaveFaces: rest.restrictedFaces,
    crossingFaces: facesAtSides(surface, border, new Set(crossings.flat())),
  };
}

function outlineOf(border: Int32Array, uvs: Float64Array): Float64Array {
  const outline = new Float64Array(2 * border.length);
  border.forEach((v, i) => {
    outline[2 * i] = uvs[2 * v]!;
    outline[2 * i + 1] = uvs[2 * v + 1]!;
  });
  return outline;
}

function checkDisk(surface: ChartSurface): Int32Array {
  const sides = new Set<number>();
  const { faceOffsets, cornerVertices, vertexCount } = surface;
  for (let f = 0; f < surface.faces.length; f++) {
    for (let c = faceOffsets[f]!; c < faceOffsets[f + 1]!; c++) {
      const a = cornerVertices[c]!;
      const b = cornerVertices[c + 1 === faceOffsets[f + 1]! ? faceOffsets[f]! : c + 1]!;
      sides.add(Math.min(a, b) * vertexCount + Math.max(a, b));
    }
  }
  const eulerCharacteristic = vertexCount - sides.size + surface.faces.length;
  const loops = surface.borderLoops;
  if (loops.length !== 1 || eulerCharacteristic !== 1) {
    throw new NumericalError(
      'CHART_NOT_DISK',
      `flattenChart: the chart is not a disk, got ${loops.length} border loops and Euler characteristic ${eulerCharacteristic}, expected 1 and 1`,
      { borderLoops: loops.length, eulerCharacteristic },
    );
  }
  return loops[0]!;
}

/**
 * Descends; where the start left polygons concave, those that have become convex on the way are held so and
 * the descent goes on.
 */
function descendFrom(
  start: Start,
  surface: ChartSurface,
  border: Int32Array,
  options: DescentOptions,
): { rest: RestTriangles; result: DescentResult } {
  let { rest } = start;
  let result = descend(rest, start.uvs, options, new BorderBarrier(rest, border));
  if (rest.restrictedFaces.length > 0) {
    const tighter = buildRestTriangles(surface, result.uvs);
    if (tighter.restrictedFaces.length < rest.restrictedFaces.length) {
      const { iterations } = result;
      rest = tighter;
      result = descend(rest, result.uvs, options, new BorderBarrier(rest, border));
      result = { ...result, iterations: iterations + result.iterations };
    }
  }
  return { rest, result };
}

interface Start {
  readonly rest: RestTriangles;
  /** Without flips and overlaps, at the best scale. */
  readonly uvs: Float64Array;
}

function findStart(surface: ChartSurface, border: Int32Array): Start {
  const rest = buildRestTriangles(surface);
  try {
    const uvs = flattenBoundaryFirst(rest, buildBlockPattern(rest), border);
    const start = acceptStart(rest, uvs);
    if (start && findBorderCrossings(outlineOf(border, uvs), 1).length === 0) return start;
  } catch (error) {
    if (!(error instanceof SeamwrightError)) throw error;
  }
  return embedSafely(rest, surface, border);
}

function embedSafely(rest: RestTriangles, surface: ChartSurface, border: Int32Array): Start {
  const start = acceptStart(rest, embedBarycentric(rest, surface, border, 'polygons', 0.1));
  if (start) return start;
  for (const levelWeight of LEVEL_WEIGHTS) {
    const uvs = embedBarycentric(rest, surface, border, 'stars', levelWeight);
    const looser = acceptStart(buildRestTriangles(surface, uvs), uvs);
    if (looser) return looser;
  }
  throw new NumericalError('CHART_NOT_DISK', 'flattenChart: no start without flips was found');
}

function acceptStart(rest: RestTriangles, uvs: Float64Array): Start | undefined {
  if (!isClearlyPositive(rest, uvs)) return undefined;
  const { scale } = bestScale(rest, uvs);
  return { rest, uvs: uvs.map((x) => x * scale) };
}

function facesAtSides(surface: ChartSurface, border: Int32Array, sides: Set<number>): number[] {
  if (sides.size === 0) return [];
  const keys = new Set(
    [...sides].map((i) => border[i]! * surface.vertexCount + border[(i + 1) % border.length]!),
  );
  const faces: number[] = [];
  for (let f = 0; f < surface.faces.length; f++) {
    const first = surface.faceOffsets[f]!;
    const end = surface.faceOffsets[f + 1]!;
    for (let c = first; c < end; c++) {
      const a = surface.cornerVertices[c]!;
      const b = surface.cornerVertices[c + 1 === end ? first : c + 1]!;
      if (keys.has(a * surface.vertexCount + b)) {
        faces.push(f);
        break;
      }
    }
  }
  return faces;
}
