import { InvalidOptionError, SeamwrightError } from '../errors.js';
import type { ChartSurface } from '../mesh/index.js';
import { flattenAngleBased } from './angle-based.js';
import { flattenArap } from './arap.js';
import { buildBlockPattern } from './block-pattern.js';
import { findBorderCrossings } from './border-crossings.js';
import { flattenBoundaryFirst } from './boundary-first.js';
import { facesAtSides, outlineOf, requireDisk } from './chart-border.js';
import { flattenLscm, flattenSpectral } from './conformal.js';
import type { DescentOptions } from './descend.js';
import { bestScale } from './distortion-energy.js';
import { embedSafely } from './find-start.js';
import type { IsometricMap } from './flatten-isometric.js';
import { flattenInOutline, flattenIsometric, flattenPinned } from './flatten-isometric.js';
import type { FlattenMethod, FlattenOptions } from './flatten-options.js';
import { FLATTEN_DEFAULTS } from './flatten-options.js';
import { findFlippedFaces, judgeMap } from './judge-map.js';
import { checkMirrorPartners, symmetriseMap } from './mirror-map.js';
import type { PinTargets } from './pins.js';
import { listPinTargets } from './pins.js';
import type { RestTriangles } from './rest-triangles.js';
import { buildRestTriangles } from './rest-triangles.js';

/** How one method fared. */
export interface FlattenAttempt {
  readonly method: FlattenMethod;
  /** Energy at the best scale; Infinity when the map has a flip. */
  readonly energy: number;
  /** Worth under the caller's measure; Infinity when the map has a flip. */
  readonly value: number;
  readonly flippedFaceCount: number;
  readonly isInjective: boolean;
}

/** A flattened chart. */
export interface FlatChart {
  /**
   * uv of each local vertex, 2 × vertexCount, in model units, counter-clockwise seen from outside. At the
   * chart's best scale, or where pins or the border put it.
   */
  readonly uvs: Float64Array;
  readonly method: FlattenMethod;
  /** Area-weighted mean symmetric Dirichlet energy at the chart's best scale; 4 is an isometry. */
  readonly energy: number;
  /** Area of the chart in space, in squared model units. */
  readonly surfaceArea: number;
  /** Steps of the descent, 0 for methods without one. */
  readonly iterations: number;
  readonly isConverged: boolean;
  /** No two places of the chart share a UV, decided exactly. */
  readonly isInjective: boolean;
  /** Local faces that came out flipped; none, unless numbers gave out. */
  readonly flippedFaces: readonly number[];
  /**
   * Local faces that could not be laid out as convex polygons, as where two polygons share a vertex of no
   * other face: some of their fan triangulations have a flipped triangle, though not all.
   */
  readonly concaveFaces: readonly number[];
  /** Local faces beside border sides that cross, when the chart overlaps itself. */
  readonly crossingFaces: readonly number[];
  /** Every method tried, in the order of trial. */
  readonly attempts: readonly FlattenAttempt[];
}

const COMPARED: readonly FlattenMethod[] = [
  'isometric',
  'boundary-first',
  'lscm',
  'spectral',
  'angle-based',
  'arap',
];

/**
 * Flattens a chart that is a disk: without flips and, pushed apart where need be, without overlaps.
 *
 * @throws CHART_NOT_DISK when the chart has no border, several, or a handle; CHART_TOO_CLOSED when no start without
 * flips is found; PIN_CONFLICT when pins cannot be met; OPTION_INVALID for options out of range
 *
 * About ten steps, each the factorisation of a matrix of two unknowns per vertex.
 * Smith & Schaefer 2015 (energy, barrier), Sawhney & Crane 2017 (start), Tutte 1963 (safe start).
 *
 * @example
 * const [surface] = extractCharts(cutMesh(mesh, seamMask(mesh, seams)));
 * const { uvs, energy } = flattenChart(surface);
 */
export function flattenChart(surface: ChartSurface, options: FlattenOptions = {}): FlatChart {
  const border = requireDisk(surface);
  const descent = readDescentOptions(options);
  if (options.mirrorPartners) checkMirrorPartners(options.mirrorPartners, surface.vertexCount);
  const measure = options.measure ?? FLATTEN_DEFAULTS.measure;
  const isHeld = options.pins !== undefined || options.borderUvs !== undefined;
  const maps: { method: FlattenMethod; map: IsometricMap; attempt: FlattenAttempt }[] = [];
  const attempts: FlattenAttempt[] = [];
  const attemptMap = (method: FlattenMethod) => {
    const map = isHeld
      ? flattenHeld(surface, border, descent, options)
      : computeMap(method, surface, border, descent, options.mirrorPartners);
    const attempt = judgeAttempt(method, map, border, measure);
    attempts.push(attempt);
    if (map && Number.isFinite(attempt.energy)) maps.push({ method, map, attempt });
  };

  const method = options.method ?? FLATTEN_DEFAULTS.method;
  const isAuto = method === 'auto';
  const isComparing = !isHeld && (options.compare ?? FLATTEN_DEFAULTS.compare);
  for (const each of isComparing ? COMPARED : []) attemptMap(each);
  const wanted = isAuto || isHeld ? 'isometric' : method;
  if (!attempts.some((attempt) => attempt.method === wanted)) attemptMap(wanted);
  const isSound = (name: FlattenMethod) =>
    maps.some((entry) => entry.method === name && entry.attempt.isInjective);
  if (!isSound(wanted) && !attempts.some((attempt) => attempt.method === 'isometric'))
    attemptMap('isometric');

  const sound = maps.filter((entry) => entry.attempt.isInjective);
  const pool = sound.length > 0 ? sound : maps;
  const chosen =
    (isAuto ? undefined : pool.find((entry) => entry.method === wanted)) ??
    (isAuto && isComparing ? undefined : pool.find((entry) => entry.method === 'isometric')) ??
    pool.reduce((best, entry) => (entry.attempt.value < best.attempt.value ? entry : best));
  return finish(surface, border, chosen.method, chosen.map, attempts, isHeld);
}

function readDescentOptions(options: FlattenOptions): DescentOptions {
  const iterationLimit = options.iterationLimit ?? FLATTEN_DEFAULTS.iterationLimit;
  const tolerance = options.tolerance ?? FLATTEN_DEFAULTS.tolerance;
  if (!(iterationLimit >= 0) || !(tolerance >= 0)) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `flattenChart: limits out of range, got iterationLimit ${iterationLimit} and tolerance ${tolerance}, expected 0 or more`,
    );
  }
  if (options.mirrorPartners && (options.pins || options.borderUvs)) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      'flattenChart: got mirrorPartners together with pins or borderUvs, expected one of them',
    );
  }
  return { iterationLimit, tolerance };
}

function computeMap(
  method: FlattenMethod,
  surface: ChartSurface,
  border: Int32Array,
  descent: DescentOptions,
  mirrorPartners: Int32Array | undefined,
): IsometricMap | undefined {
  if (method === 'isometric') return flattenIsometric(surface, border, descent, mirrorPartners);
  const rest = buildRestTriangles(surface);
  try {
    const start = computeDirectly(method, rest, surface, border);
    const uvs = mirrorPartners ? symmetriseMap(start.uvs, mirrorPartners) : start.uvs;
    const { energy } = bestScale(start.rest, uvs);
    return { rest: start.rest, uvs, energy, iterations: 0, isConverged: true, residual: 0 };
  } catch (error) {
    // A singular system: the method has no map for this chart.
    if (error instanceof SeamwrightError) return undefined;
    throw error;
  }
}

function computeDirectly(
  method: Exclude<FlattenMethod, 'isometric'>,
  rest: RestTriangles,
  surface: ChartSurface,
  border: Int32Array,
): { rest: RestTriangles; uvs: Float64Array } {
  if (method === 'barycentric') return embedSafely(rest, surface, border);
  const pattern = buildBlockPattern(rest);
  if (method === 'boundary-first') return { rest, uvs: flattenBoundaryFirst(rest, pattern, border) };
  if (method === 'lscm') return { rest, uvs: flattenLscm(rest, pattern, surface) };
  if (method === 'spectral') return { rest, uvs: flattenSpectral(rest, pattern, surface) };
  if (method === 'angle-based') return { rest, uvs: flattenAngleBased(rest, surface).uvs };
  return { rest, uvs: flattenArap(rest, pattern, flattenBoundaryFirst(rest, pattern, border)) };
}

/** The isometric map with pins or a given border. */
function flattenHeld(
  surface: ChartSurface,
  border: Int32Array,
  descent: DescentOptions,
  options: FlattenOptions,
): IsometricMap {
  const { unit } = buildRestTriangles(surface);
  let pins = options.pins ?? {};
  const { borderUvs } = options;
  if (borderUvs) {
    if (borderUvs.length !== 2 * border.length) {
      throw new InvalidOptionError(
        'OPTION_INVALID',
        `flattenChart: wrong number of border UV values, got ${borderUvs.length}, expected ${2 * border.length}`,
      );
    }
    const points = Array.from(border, (vertex, i) => ({
      vertex,
      uv: [borderUvs[2 * i]!, borderUvs[2 * i + 1]!] as const,
    }));
    pins = { ...pins, points: [...(pins.points ?? []), ...points] };
  }
  const targets: PinTargets = listPinTargets(pins, surface.vertexCount, unit);
  if (borderUvs && !options.pins) {
    const outline = Float64Array.from(borderUvs, (x) => x / unit);
    const map = flattenInOutline(surface, border, descent, outline);
    if (map) return map;
  }
  return flattenPinned(surface, border, descent, targets);
}

function judgeAttempt(
  method: FlattenMethod,
  map: IsometricMap | undefined,
  border: Int32Array,
  measure: NonNullable<FlattenOptions['measure']>,
): FlattenAttempt {
  if (!map) return { method, energy: Infinity, value: Infinity, flippedFaceCount: 0, isInjective: false };
  const flippedFaceCount = findFlippedFaces(map.rest, map.uvs).length;
  return {
    method,
    energy: bestScale(map.rest, map.uvs).energy,
    value: judgeMap(map.rest, map.uvs, measure),
    flippedFaceCount,
    isInjective: flippedFaceCount === 0 && findBorderCrossings(outlineOf(border, map.uvs), 1).length === 0,
  };
}

function finish(
  surface: ChartSurface,
  border: Int32Array,
  method: FlattenMethod,
  map: IsometricMap,
  attempts: readonly FlattenAttempt[],
  isHeld: boolean,
): FlatChart {
  const { rest } = map;
  const { scale, energy } = bestScale(rest, map.uvs);
  const factor = isHeld ? rest.unit : scale * rest.unit;
  const uvs = map.uvs.map((x) => x * factor);
  // Scaling rounds, so the promises are checked on the very numbers that are returned.
  const flippedFaces = findFlippedFaces(rest, uvs);
  const crossings = findBorderCrossings(outlineOf(border, uvs));
  return {
    uvs,
    method,
    energy,
    surfaceArea: rest.unit * rest.unit,
    iterations: map.iterations,
    isConverged: map.isConverged,
    isInjective: flippedFaces.length === 0 && crossings.length === 0,
    flippedFaces,
    concaveFaces: rest.restrictedFaces,
    crossingFaces: facesAtSides(surface, border, crossings.flat()),
    attempts,
  };
}
