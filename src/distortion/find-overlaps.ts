import { orient2d } from 'robust-predicates';

/** Triangles in UV with the face and chart of each. */
export interface UvTriangles {
  /** Six numbers per triangle, u v of three corners. */
  readonly corners: Float64Array;
  readonly faces: Int32Array;
  readonly charts: Int32Array;
}

export interface Overlaps {
  /** Pairs of the caller's faces whose interiors share UV space, the lower first, ascending. */
  readonly pairs: readonly (readonly [number, number])[];
  /** Area shared, each pair counted once. */
  readonly area: number;
  /** Whether the list was ended by the limit. */
  readonly isTruncated: boolean;
}

/**
 * Depth to which triangles may reach into one another and still only touch, as a share of the largest coordinate:
 * 32 roundings. The sides of a slit in a flat chart lie on one another, and turning and scaling the chart rounds
 * each corner by itself.
 */
const TOUCH = 2 ** -48;

/**
 * Finds all pairs of faces that overlap, deciding by robust predicates; touching, to within rounding, is no overlap.
 * Near linear for triangles of similar size.
 *
 * @param limit - ends the list after this many pairs of faces
 */
export function findOverlaps(triangles: UvTriangles, limit: number): Overlaps {
  const grid = new BoxGrid(triangles.corners);
  const pairs = new Map<number, readonly [number, number]>();
  const faceCount = triangles.faces.reduce((most, f) => Math.max(most, f + 1), 0);
  const n = triangles.faces.length;
  const marks = new Int32Array(n).fill(-1);
  const slack = TOUCH * triangles.corners.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
  let area = 0;
  let isTruncated = false;
  for (let s = 0; s < n && !isTruncated; s++) {
    if (turnOf(triangles.corners, s) === 0) continue;
    grid.visit(s, (t) => {
      if (t <= s || marks[t] === s || isTruncated) return;
      marks[t] = s;
      const f = triangles.faces[s]!;
      const g = triangles.faces[t]!;
      if (f === g || !interiorsMeet(triangles.corners, s, t, slack)) return;
      const key = Math.min(f, g) * faceCount + Math.max(f, g);
      if (!pairs.has(key)) {
        if (pairs.size >= limit) {
          isTruncated = true;
          return;
        }
        pairs.set(key, [Math.min(f, g), Math.max(f, g)]);
      }
      area += sharedArea(triangles.corners, s, t);
    });
  }
  const sorted = [...pairs.values()].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  return { pairs: sorted, area, isTruncated };
}

const turnOf = (p: Float64Array, t: number) =>
  -Math.sign(orient2d(p[6 * t]!, p[6 * t + 1]!, p[6 * t + 2]!, p[6 * t + 3]!, p[6 * t + 4]!, p[6 * t + 5]!));

/** Two triangles share interior points unless a side of one has the whole other on its far side, or nearly so. */
function interiorsMeet(p: Float64Array, s: number, t: number, slack: number): boolean {
  const turnS = turnOf(p, s);
  const turnT = turnOf(p, t);
  if (turnS === 0 || turnT === 0) return false;
  return !isParted(p, s, turnS, t, slack) && !isParted(p, t, turnT, s, slack);
}

function isParted(p: Float64Array, s: number, turn: number, t: number, slack: number): boolean {
  for (let k = 0; k < 3; k++) {
    const a = 6 * s + 2 * k;
    const b = 6 * s + 2 * ((k + 1) % 3);
    const most = slack * Math.hypot(p[b]! - p[a]!, p[b + 1]! - p[a + 1]!);
    let isFar = true;
    for (let c = 6 * t; c < 6 * t + 6 && isFar; c += 2)
      isFar = -turn * orient2d(p[a]!, p[a + 1]!, p[b]!, p[b + 1]!, p[c]!, p[c + 1]!) <= most;
    if (isFar) return true;
  }
  return false;
}

/** Area of the intersection of two triangles, by clipping one against the sides of the other. */
function sharedArea(p: Float64Array, s: number, t: number): number {
  let polygon = Array.from(p.subarray(6 * s, 6 * s + 6));
  const turn = turnOf(p, t);
  for (let k = 0; k < 3; k++) {
    const a = 6 * t + 2 * k;
    const b = 6 * t + 2 * ((k + 1) % 3);
    const side = (x: number, y: number) =>
      turn * ((p[b]! - p[a]!) * (y - p[a + 1]!) - (p[b + 1]! - p[a + 1]!) * (x - p[a]!));
    const clipped: number[] = [];
    for (let i = 0; i < polygon.length; i += 2) {
      const j = (i + 2) % polygon.length;
      const here = side(polygon[i]!, polygon[i + 1]!);
      const there = side(polygon[j]!, polygon[j + 1]!);
      if (here >= 0) clipped.push(polygon[i]!, polygon[i + 1]!);
      if (here * there < 0) {
        const at = here / (here - there);
        clipped.push(
          polygon[i]! + at * (polygon[j]! - polygon[i]!),
          polygon[i + 1]! + at * (polygon[j + 1]! - polygon[i + 1]!),
        );
      }
    }
    polygon = clipped;
  }
  let twice = 0;
  for (let i = 0; i < polygon.length; i += 2) {
    const j = (i + 2) % polygon.length;
    twice +=
      (polygon[i]! - polygon[0]!) * (polygon[j + 1]! - polygon[1]!) -
      (polygon[i + 1]! - polygon[1]!) * (polygon[j]! - polygon[0]!);
  }
  return Math.abs(twice) / 2;
}

/** Uniform grid over the boxes of triangles, about two cells per triangle. */
class BoxGrid {
  readonly #corners: Float64Array;
  readonly #lowX: number;
  readonly #lowY: number;
  readonly #cell: number;
  readonly #columns: number;
  readonly #offsets: Int32Array;
  readonly #members: Int32Array;

  constructor(corners: Float64Array) {
    this.#corners = corners;
    const n = corners.length / 6;
    let lowX = Infinity;
    let lowY = Infinity;
    let highX = -Infinity;
    let highY = -Infinity;
    for (let i = 0; i < corners.length; i += 2) {
      lowX = Math.min(lowX, corners[i]!);
      highX = Math.max(highX, corners[i]!);
      lowY = Math.min(lowY, corners[i + 1]!);
      highY = Math.max(highY, corners[i + 1]!);
    }
    this.#lowX = lowX;
    this.#lowY = lowY;
    const width = highX - lowX;
    const height = highY - lowY;
    const cell = Math.max(Math.sqrt((width * height) / (2 * n)), Math.max(width, height) / (2 * n));
    this.#cell = cell > 0 ? cell : 1;
    this.#columns = Math.floor(width / this.#cell) + 1;
    const rows = Math.floor(height / this.#cell) + 1;
    const counts = new Int32Array(this.#columns * rows + 1);
    for (let t = 0; t < n; t++) this.#cells(t, (c) => counts[c + 1]!++);
    for (let c = 0; c + 1 < counts.length; c++) counts[c + 1]! += counts[c]!;
    this.#offsets = counts.slice();
    this.#members = new Int32Array(counts[counts.length - 1]!);
    for (let t = 0; t < n; t++)
      this.#cells(t, (c) => {
        this.#members[counts[c]!++] = t;
      });
  }

  /** Calls back with the triangles that share a cell with `t`, some more than once. */
  visit(t: number, call: (triangle: number) => void): void {
    this.#cells(t, (c) => {
      for (let p = this.#offsets[c]!; p < this.#offsets[c + 1]!; p++) call(this.#members[p]!);
    });
  }

  #cells(t: number, call: (cell: number) => void): void {
    const p = this.#corners;
    const o = 6 * t;
    const x0 = Math.floor((Math.min(p[o]!, p[o + 2]!, p[o + 4]!) - this.#lowX) / this.#cell);
    const x1 = Math.floor((Math.max(p[o]!, p[o + 2]!, p[o + 4]!) - this.#lowX) / this.#cell);
    const y0 = Math.floor((Math.min(p[o + 1]!, p[o + 3]!, p[o + 5]!) - this.#lowY) / this.#cell);
    const y1 = Math.floor((Math.max(p[o + 1]!, p[o + 3]!, p[o + 5]!) - this.#lowY) / this.#cell);
    for (let y = y0; y <= y1; y++) for (let x = x0; x <= x1; x++) call(y * this.#columns + x);
  }
}
