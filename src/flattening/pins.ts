import { InvalidOptionError } from '../errors.js';

/** A vertex that must come out at a place. */
export interface PointPin {
  /** Local vertex of the chart. */
  readonly vertex: number;
  /** In model units. */
  readonly uv: readonly [number, number];
}

/** Vertices that must come out on a straight line, such as the front centre. */
export interface LinePin {
  /** Local vertices; a vertical line has its first one lowest, a horizontal one leftmost. */
  readonly vertices: readonly number[];
  readonly direction: 'vertical' | 'horizontal';
  /**
   * The u of a vertical line or the v of a horizontal one, in model units.
   * @defaultValue wherever the map is best
   */
  readonly at?: number;
}

export interface Pins {
  readonly points?: readonly PointPin[];
  readonly lines?: readonly LinePin[];
}

/** Pinned unknowns (2v for u, 2v + 1 for v) with their targets, in rest units. */
export interface PinTargets {
  readonly unknowns: Int32Array;
  /** NaN where the group's common value is free. */
  readonly values: Float64Array;
  /** Line of each unknown, -1 for points. */
  readonly groups: Int32Array;
  readonly points: readonly PointPin[];
  readonly lines: readonly LinePin[];
}

/**
 * Checks the pins and lists what they fix.
 *
 * @param unit - model units per rest unit
 * @throws OPTION_INVALID for a vertex that is not there or a number that is none, PIN_CONFLICT for pins that
 * cannot hold together: a vertex at two places, two vertices at one, a vertex on two parallel lines
 */
export function listPinTargets(pins: Pins, vertexCount: number, unit: number): PinTargets {
  const points = pins.points ?? [];
  const lines = pins.lines ?? [];
  const targets = new Map<number, { value: number; group: number }>();
  const places = new Map<string, number>();
  const add = (vertex: number, axis: 0 | 1, value: number, group: number) => {
    checkVertex(vertex, vertexCount);
    const unknown = 2 * vertex + axis;
    const old = targets.get(unknown);
    if (old && old.value !== value && !(old.group === group && Number.isNaN(value))) {
      throw conflict(
        `vertex ${vertex} is pinned to ${axis === 0 ? 'u' : 'v'} ${old.value * unit} and ${value * unit}`,
        {
          vertex,
        },
      );
    }
    targets.set(unknown, { value, group });
  };
  for (const { vertex, uv } of points) {
    if (!uv.every(Number.isFinite)) {
      throw new InvalidOptionError(
        'OPTION_INVALID',
        `flattenChart: pin of vertex ${vertex} is not finite, got ${uv}, expected two numbers`,
        { vertex },
      );
    }
    const place = uv.join();
    const other = places.get(place);
    if (other !== undefined && other !== vertex)
      throw conflict(`vertices ${other} and ${vertex} are pinned to the same point (${place})`, { vertex });
    places.set(place, vertex);
    add(vertex, 0, uv[0] / unit, -1);
    add(vertex, 1, uv[1] / unit, -1);
  }
  lines.forEach((line, group) => {
    for (const vertex of line.vertices)
      add(
        vertex,
        line.direction === 'vertical' ? 0 : 1,
        line.at === undefined ? Number.NaN : line.at / unit,
        group,
      );
  });
  const entries = [...targets].sort((a, b) => a[0] - b[0]);
  return {
    unknowns: Int32Array.from(entries, ([unknown]) => unknown),
    values: Float64Array.from(entries, ([, target]) => target.value),
    groups: Int32Array.from(entries, ([, target]) => target.group),
    points,
    lines,
  };
}

function checkVertex(vertex: number, vertexCount: number): void {
  if (Number.isInteger(vertex) && vertex >= 0 && vertex < vertexCount) return;
  throw new InvalidOptionError(
    'OPTION_INVALID',
    `flattenChart: pinned vertex is not in the chart, got ${vertex}, expected 0..${vertexCount - 1}`,
    { vertex },
  );
}

/** The error for pins that cannot hold together. */
export function conflict(what: string, details: Record<string, unknown> = {}): InvalidOptionError {
  return new InvalidOptionError('PIN_CONFLICT', `flattenChart: pins contradict: ${what}`, details);
}

/** The targets with the free lines at the mean of their vertices. */
export function settleTargets(targets: PinTargets, uvs: Float64Array): Float64Array {
  const sums = new Float64Array(targets.lines.length);
  const counts = new Int32Array(targets.lines.length);
  targets.unknowns.forEach((unknown, i) => {
    const group = targets.groups[i]!;
    if (group < 0) return;
    sums[group]! += uvs[unknown]!;
    counts[group]!++;
  });
  return targets.values.map((value, i) =>
    Number.isNaN(value) ? sums[targets.groups[i]!]! / counts[targets.groups[i]!]! : value,
  );
}

/** Turns, moves and, with two points or more, scales the map to fit the pins as well as it can. */
export function alignToPins(uvs: Float64Array, targets: PinTargets, unit: number): Float64Array {
  const { points, lines } = targets;
  const sources = points.map((p) => [uvs[2 * p.vertex]!, uvs[2 * p.vertex + 1]!] as const);
  const goals = points.map((p) => [p.uv[0] / unit, p.uv[1] / unit] as const);
  let [a, b] = [1, 0];
  if (points.length >= 2) {
    const mean = (list: readonly (readonly [number, number])[], k: 0 | 1) =>
      list.reduce((sum, p) => sum + p[k], 0) / list.length;
    const [sx, sy, gx, gy] = [mean(sources, 0), mean(sources, 1), mean(goals, 0), mean(goals, 1)];
    let real = 0;
    let imaginary = 0;
    let squares = 0;
    sources.forEach(([x, y], i) => {
      const [dx, dy, ex, ey] = [x - sx, y - sy, goals[i]![0] - gx, goals[i]![1] - gy];
      real += dx * ex + dy * ey;
      imaginary += dx * ey - dy * ex;
      squares += dx * dx + dy * dy;
    });
    a = real / squares;
    b = imaginary / squares;
    // Pins that would shrink the chart to a speck say nothing about its turn.
    const size = Math.hypot(a, b);
    if (!(size > 1e-6)) [a, b] = [1, 0];
  } else if (lines.length > 0) {
    const { vertices, direction } = lines[0]!;
    const from = vertices[0]!;
    const to = vertices[vertices.length - 1]!;
    const x = uvs[2 * to]! - uvs[2 * from]!;
    const y = uvs[2 * to + 1]! - uvs[2 * from + 1]!;
    const length = Math.hypot(x, y) || 1;
    // Multiplying by (a + bi) turns (x, y) up, or to the right.
    [a, b] = direction === 'vertical' ? [y / length, x / length] : [x / length, -y / length];
  }
  const turned = new Float64Array(uvs.length);
  for (let i = 0; i < uvs.length; i += 2) {
    turned[i] = a * uvs[i]! - b * uvs[i + 1]!;
    turned[i + 1] = b * uvs[i]! + a * uvs[i + 1]!;
  }
  moveToTargets(turned, targets);
  return turned;
}

function moveToTargets(uvs: Float64Array, targets: PinTargets): void {
  for (const axis of [0, 1]) {
    let offset = 0;
    let count = 0;
    targets.unknowns.forEach((unknown, i) => {
      if (unknown % 2 !== axis || Number.isNaN(targets.values[i]!)) return;
      offset += targets.values[i]! - uvs[unknown]!;
      count++;
    });
    if (count === 0) continue;
    for (let i = axis; i < uvs.length; i += 2) uvs[i]! += offset / count;
  }
}
