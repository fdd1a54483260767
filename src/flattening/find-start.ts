import { NumericalError, SeamwrightError } from '../errors.js';
import type { ChartSurface } from '../mesh/index.js';
import { embedBarycentric } from './barycentric.js';
import { buildBlockPattern } from './block-pattern.js';
import { findBorderCrossings } from './border-crossings.js';
import { BoundaryFirst } from './boundary-first.js';
import { outlineOf } from './chart-border.js';
import { bestScale, isClearlyPositive } from './distortion-energy.js';
import type { RestTriangles } from './rest-triangles.js';
import { buildRestTriangles } from './rest-triangles.js';

/** Weights along the levels tried one after the other, against the shrinking of long closed tubes. */
const LEVEL_WEIGHTS = [1, 0.03, 1e-3, 1e-5];

/** A map without flips and overlaps, at its best scale, in rest units. */
export interface Start {
  readonly rest: RestTriangles;
  readonly uvs: Float64Array;
}

/** What a start is made to keep to before it is judged, such as a mirror. */
export type Shaper = (uvs: Float64Array) => Float64Array;

/**
 * How far the border is rounded, one try after the other, before the map is given up. Half way there is room between
 * limbs that lay across one another; a border that only just comes clear of itself (0.1) led to worse optima.
 */
const ROUNDNESSES = [0, 0.5];

/**
 * The boundary-first map when it is sound, which is near the optimum, with the border rounded where it crosses itself;
 * else a barycentric embedding.
 */
export function findStart(surface: ChartSurface, border: Int32Array, shape: Shaper = (uvs) => uvs): Start {
  const rest = buildRestTriangles(surface);
  try {
    const boundaryFirst = new BoundaryFirst(rest, buildBlockPattern(rest), border);
    for (const roundness of ROUNDNESSES) {
      const uvs = shape(boundaryFirst.map(roundness));
      const start = acceptStart(rest, uvs);
      if (start && findBorderCrossings(outlineOf(border, uvs), 1).length === 0) return start;
    }
  } catch (error) {
    if (!(error instanceof SeamwrightError)) throw error;
  }
  return embedSafely(rest, surface, border, shape);
}

/** The barycentric embedding with every polygon convex, or where that is not to be had, with as many as may be. */
export function embedSafely(
  rest: RestTriangles,
  surface: ChartSurface,
  border: Int32Array,
  shape: Shaper = (uvs) => uvs,
): Start {
  const start = acceptStart(rest, shape(embedBarycentric(rest, surface, border, 'polygons')));
  if (start) return start;
  for (const levelWeight of LEVEL_WEIGHTS) {
    const uvs = shape(embedBarycentric(rest, surface, border, 'stars', levelWeight));
    const looser = acceptStart(buildRestTriangles(surface, uvs), uvs);
    if (looser) return looser;
  }
  const last = acceptStart(rest, shape(embedBarycentric(rest, surface, border, 'polygons')), 0);
  if (last) return last;
  throw new NumericalError(
    'CHART_TOO_CLOSED',
    `flattenChart: the chart of ${surface.faces.length} faces is opened too little, no flat start was found without flips; cut it further, to the ends of its limbs`,
  );
}

function acceptStart(rest: RestTriangles, uvs: Float64Array, rounding?: number): Start | undefined {
  if (!isClearlyPositive(rest, uvs, rounding)) return undefined;
  const { scale } = bestScale(rest, uvs);
  return { rest, uvs: uvs.map((x) => x * scale) };
}
