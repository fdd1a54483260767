import type { ChartSurface } from '../mesh/index.js';
import { embedBarycentric } from './barycentric.js';
import { BorderBarrier } from './border-barrier.js';
import { findBorderCrossings } from './border-crossings.js';
import { outlineOf } from './chart-border.js';
import type { DescentFrame, DescentOptions, DescentResult } from './descend.js';
import { descend } from './descend.js';
import { isClearlyPositive } from './distortion-energy.js';
import type { Start } from './find-start.js';
import { findStart } from './find-start.js';
import { symmetriseMap } from './mirror-map.js';
import type { PinTargets } from './pins.js';
import { alignToPins, conflict, settleTargets } from './pins.js';
import { buildRestTriangles } from './rest-triangles.js';

/** A map in rest units with the triangles it was judged by. */
export interface IsometricMap extends Start, Omit<DescentResult, 'uvs'> {}

/** Stiffness of the pins' springs, one after the other. */
const STIFFNESSES = [1, 1e2, 1e4, 1e6, 1e8];
/** A pin farther off than this share of the chart's size after the stiffest spring is out of reach. */
const PIN_REACH = 1e-5;

/** The map of least symmetric Dirichlet energy, symmetric when partners are given. */
export function flattenIsometric(
  surface: ChartSurface,
  border: Int32Array,
  options: DescentOptions,
  mirrorPartners?: Int32Array,
): IsometricMap {
  const shape = mirrorPartners && ((uvs: Float64Array) => symmetriseMap(uvs, mirrorPartners));
  const start = findStart(surface, border, shape);
  return descendTightening(start, surface, border, options, { mirrorPartners });
}

/**
 * Descends; where the start left polygons concave, those that have become convex on the way are held so and
 * the descent goes on.
 */
function descendTightening(
  start: Start,
  surface: ChartSurface,
  border: Int32Array,
  options: DescentOptions,
  frame: DescentFrame,
): IsometricMap {
  let { rest } = start;
  let result = descend(rest, start.uvs, options, { ...frame, barrier: new BorderBarrier(rest, border) });
  if (rest.restrictedFaces.length > 0) {
    const tighter = buildRestTriangles(surface, result.uvs);
    if (tighter.restrictedFaces.length < rest.restrictedFaces.length) {
      const { iterations } = result;
      rest = tighter;
      result = descend(rest, result.uvs, options, { ...frame, barrier: new BorderBarrier(rest, border) });
      result = { ...result, iterations: iterations + result.iterations };
    }
  }
  return { ...result, rest };
}

/**
 * The map of least energy with pins: the free map is turned to fit, pulled by ever stiffer springs without
 * flips or overlaps, and released with the pins fixed exactly.
 *
 * @throws PIN_CONFLICT when a pin cannot be reached so
 */
export function flattenPinned(
  surface: ChartSurface,
  border: Int32Array,
  options: DescentOptions,
  targets: PinTargets,
): IsometricMap {
  const free = flattenIsometric(surface, border, options);
  const { rest } = free;
  const { unknowns } = targets;
  let uvs: Float64Array = alignToPins(free.uvs, targets, rest.unit);
  let iterations = free.iterations;
  const isFixed = new Uint8Array(2 * surface.vertexCount);
  for (const unknown of unknowns) isFixed[unknown] = 1;
  for (const stiffness of STIFFNESSES) {
    const springs = { unknowns, stiffness, targetsAt: (at: Float64Array) => settleTargets(targets, at) };
    const pulled = descend(rest, uvs, options, { barrier: new BorderBarrier(rest, border), springs });
    uvs = pulled.uvs;
    iterations += pulled.iterations;
    const snapped = snap(uvs, targets);
    const isSound =
      isClearlyPositive(rest, snapped) && findBorderCrossings(outlineOf(border, snapped), 1).length === 0;
    if (!isSound || farthest(uvs, targets) > 0.05) continue;
    const result = descend(rest, snapped, options, { barrier: new BorderBarrier(rest, border), isFixed });
    return { ...result, rest, iterations: iterations + result.iterations };
  }
  const gap = farthest(uvs, targets);
  const what =
    gap > PIN_REACH
      ? 'no map without flips and overlaps reaches them'
      : 'the pins leave no room for the faces between them';
  throw conflict(`${what}; the nearest leaves a gap of ${gap * rest.unit}`, { gap: gap * rest.unit });
}

function snap(uvs: Float64Array, targets: PinTargets): Float64Array {
  const snapped = uvs.slice();
  const values = settleTargets(targets, uvs);
  targets.unknowns.forEach((unknown, i) => {
    snapped[unknown] = values[i]!;
  });
  return snapped;
}

function farthest(uvs: Float64Array, targets: PinTargets): number {
  const values = settleTargets(targets, uvs);
  return targets.unknowns.reduce(
    (most, unknown, i) => Math.max(most, Math.abs(uvs[unknown]! - values[i]!)),
    0,
  );
}

/**
 * The map of least energy with the whole border given, from a barycentric embedding where that is sound (always
 * for a convex outline); undefined otherwise.
 *
 * @param outline - uv of the border's vertices, rest units
 */
export function flattenInOutline(
  surface: ChartSurface,
  border: Int32Array,
  options: DescentOptions,
  outline: Float64Array,
): IsometricMap | undefined {
  const isFixed = new Uint8Array(2 * surface.vertexCount);
  for (const v of border) isFixed[2 * v] = isFixed[2 * v + 1] = 1;
  const full = buildRestTriangles(surface);
  for (const edges of ['polygons', 'stars'] as const) {
    const uvs = embedBarycentric(full, surface, border, edges, 1, outline);
    const rest = edges === 'polygons' ? full : buildRestTriangles(surface, uvs);
    if (!isClearlyPositive(rest, uvs)) continue;
    return { ...descend(rest, uvs, options, { isFixed }), rest };
  }
  return undefined;
}
