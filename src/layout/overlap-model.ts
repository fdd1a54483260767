import { sampleBorder } from './border-samples.js';
import { convexHull } from './bounding-angles.js';
import { buildDistanceField } from './distance-field.js';

/** Outline in cells about its centre. */
export interface CellPiece {
  readonly points: Float64Array;
  readonly loopOffsets: Int32Array;
}

/** Where a piece lies: its centre in cells, and its turn. */
export interface Pose {
  x: number;
  y: number;
  angle: number;
}

/** Numbers to a row of `OverlapModel.rows`. */
export const ROW = 6;

/** Distance between samples of a border, in cells. */
const SPACING = 2.5;
/** Largest ratio of a square's reach to half its side. */
const DIAGONAL = Math.SQRT2;
/** Cells by which a distance read off the nearest node may be wrong. */
const NODE_ERROR = 0.75;

/**
 * Pieces in a square, and by how much they break their margins at any pose.
 *
 * A pair's cost is the integral, along both borders, of what is missing to the gutter; it is
 * sampled from the signed distance field of one piece at points of the other's border. Runs of samples that
 * their circle shows to be far enough away are passed over.
 */
export class OverlapModel {
  readonly count: number;
  readonly xs: Float64Array;
  readonly ys: Float64Array;
  readonly angles: Float64Array;
  /** Largest distance of a point from its piece's centre. */
  readonly radii: Float64Array;
  /** Weight of each pair, n × n, symmetric; on the diagonal that of the square's edge. */
  readonly weights: Float64Array;
  /** Side of the square. */
  side = 0;
  /** Samples looked up so far. */
  workCount = 0;
  /**
   * What the last call of a `find…Rows` found: missing length, direction (nx, ny) that parts the two, how a
   * turn of the first and of the second piece moves the border along it, and length of border. ROW numbers
   * each.
   */
  rows = new Float64Array(ROW * 256);
  readonly #border: number;
  readonly #gutter: number;
  readonly #band: number;
  readonly #cos: Float64Array;
  readonly #sin: Float64Array;
  readonly #hulls: Float64Array[] = [];
  readonly #samples: Float64Array[] = [];
  readonly #circles: Float64Array[] = [];
  readonly #runs: Int32Array[] = [];
  readonly #fields: Float32Array[] = [];
  /** x0, y0, width, height of each field. */
  readonly #frames: Float64Array;

  /** @param border, gutter - margins as shares of the side; `maxSide` is the largest side that will be set */
  constructor(
    pieces: readonly CellPiece[],
    { border, gutter, maxSide }: { border: number; gutter: number; maxSide: number },
  ) {
    const n = pieces.length;
    this.count = n;
    this.#border = border;
    this.#gutter = gutter;
    this.#band = Math.ceil(DIAGONAL * gutter * maxSide) + 2;
    this.xs = new Float64Array(n);
    this.ys = new Float64Array(n);
    this.angles = new Float64Array(n);
    this.radii = new Float64Array(n);
    this.weights = new Float64Array(n * n).fill(1);
    this.#cos = new Float64Array(n).fill(1);
    this.#sin = new Float64Array(n);
    this.#frames = new Float64Array(4 * n);
    for (let i = 0; i < n; i++) {
      const { points, loopOffsets } = pieces[i]!;
      for (let k = 0; k < points.length; k += 2)
        this.radii[i] = Math.max(this.radii[i]!, Math.hypot(points[k]!, points[k + 1]!));
      this.#hulls.push(convexHull(points));
      const { samples, circles, runOffsets } = sampleBorder(points, loopOffsets, SPACING);
      this.#samples.push(samples);
      this.#circles.push(circles);
      this.#runs.push(runOffsets);
      const field = buildDistanceField(points, loopOffsets, this.#band);
      this.#fields.push(field.values);
      this.#frames.set([field.x0, field.y0, field.width, field.height], 4 * i);
    }
  }

  pose(i: number): Pose {
    return { x: this.xs[i]!, y: this.ys[i]!, angle: this.angles[i]! };
  }

  setPose(i: number, { x, y, angle }: Pose): void {
    this.xs[i] = x;
    this.ys[i] = y;
    if (this.angles[i] === angle) return;
    this.angles[i] = angle;
    this.#cos[i] = Math.cos(angle);
    this.#sin[i] = Math.sin(angle);
  }

  /** Sides of the box in which a piece's centre may lie when turned by an angle; undefined when it is too large. */
  centreBox(i: number, angle: number): [number, number, number, number] | undefined {
    const c = Math.cos(angle);
    const s = Math.sin(angle);
    const hull = this.#hulls[i]!;
    let x0 = 0;
    let x1 = 0;
    let y0 = 0;
    let y1 = 0;
    for (let k = 0; k < hull.length; k += 2) {
      const x = c * hull[k]! - s * hull[k + 1]!;
      const y = s * hull[k]! + c * hull[k + 1]!;
      if (x < x0) x0 = x;
      if (x > x1) x1 = x;
      if (y < y0) y0 = y;
      if (y > y1) y1 = y;
    }
    const low = this.#border * this.side;
    const high = this.side - low;
    const box: [number, number, number, number] = [low - x0, high - x1, low - y0, high - y1];
    return box[0] <= box[1] && box[2] <= box[3] ? box : undefined;
  }

  /** Weighted cost of one piece at a pose against the others where they are; Infinity from the limit on. */
  cost(i: number, pose: Pose, limit = Infinity): number {
    const { xs, ys, radii, weights, count } = this;
    const kept = this.pose(i);
    this.setPose(i, pose);
    let cost = 0;
    const far = radii[i]! + this.#band;
    const border = weights[i * (count + 1)]!;
    for (let k = this.findBorderRows(i), o = 0; o < k; o += ROW)
      cost += border * this.rows[o]! * this.rows[o + 5]!;
    for (let j = 0; j < count && cost < limit; j++) {
      if (j === i) continue;
      const dx = xs[j]! - pose.x;
      const dy = ys[j]! - pose.y;
      const reach = far + radii[j]!;
      if (dx * dx + dy * dy >= reach * reach) continue;
      const weight = weights[i * count + j]!;
      // The larger piece's field rules out most.
      cost += weight * this.#halfCost(i, j);
      if (cost < limit) cost += weight * this.#halfCost(j, i);
    }
    this.setPose(i, kept);
    return cost < limit ? cost : Infinity;
  }

  /** Fills `rows` with where a piece leaves the square; returns the end of the rows. The second turn is 0. */
  findBorderRows(i: number): number {
    const hull = this.#hulls[i]!;
    const c = this.#cos[i]!;
    const s = this.#sin[i]!;
    const low = this.#border * this.side;
    const high = this.side - low;
    const { rows } = this;
    let o = 0;
    const x0 = this.xs[i]!;
    const y0 = this.ys[i]!;
    for (let k = 0; k < hull.length && o + 2 * ROW <= rows.length; k += 2) {
      const px = c * hull[k]! - s * hull[k + 1]!;
      const py = s * hull[k]! + c * hull[k + 1]!;
      const x = px + x0;
      const y = py + y0;
      if (x < low || x > high) {
        rows[o] = x < low ? low - x : x - high;
        const n = x < low ? 1 : -1;
        rows[o + 1] = n;
        rows[o + 2] = 0;
        rows[o + 3] = -n * py;
        rows[o + 4] = 0;
        rows[o + 5] = BORDER_LENGTH;
        o += ROW;
      }
      if (y < low || y > high) {
        rows[o] = y < low ? low - y : y - high;
        const n = y < low ? 1 : -1;
        rows[o + 1] = 0;
        rows[o + 2] = n;
        rows[o + 3] = n * px;
        rows[o + 4] = 0;
        rows[o + 5] = BORDER_LENGTH;
        o += ROW;
      }
    }
    return o;
  }

  /** Fills `rows` with where two pieces are too close, i first; returns the end of the rows. */
  findPairRows(i: number, j: number): number {
    const dx = this.xs[j]! - this.xs[i]!;
    const dy = this.ys[j]! - this.ys[i]!;
    const reach = this.radii[i]! + this.radii[j]! + this.#band;
    if (dx * dx + dy * dy >= reach * reach) return 0;
    return this.#halfRows(j, i, this.#halfRows(i, j, 0, false), true);
  }

  #halfCost(a: number, b: number): number {
    const cb = this.#cos[b]!;
    const sb = this.#sin[b]!;
    const c = cb * this.#cos[a]! + sb * this.#sin[a]!;
    const s = cb * this.#sin[a]! - sb * this.#cos[a]!;
    const wx = this.xs[a]! - this.xs[b]!;
    const wy = this.ys[a]! - this.ys[b]!;
    const frame = 4 * b;
    const width = this.#frames[frame + 2]!;
    const right = width - 1;
    const top = this.#frames[frame + 3]! - 1;
    const dx = cb * wx + sb * wy - this.#frames[frame]!;
    const dy = cb * wy - sb * wx - this.#frames[frame + 1]!;
    const circles = this.#circles[a]!;
    const runs = this.#runs[a]!;
    const samples = this.#samples[a]!;
    const values = this.#fields[b]!;
    const gutter = this.#gutter * this.side;
    const reach = DIAGONAL * gutter;
    let cost = 0;
    let work = 0;
    for (let r = 0; r + 1 < runs.length; r++) {
      const px = circles[3 * r]!;
      const py = circles[3 * r + 1]!;
      const mx = c * px - s * py + dx;
      const my = s * px + c * py + dy;
      const radius = circles[3 * r + 2]!;
      work++;
      if (mx < 0 || my < 0 || mx > right || my > top) {
        if (mx < -radius || my < -radius || mx > right + radius || my > top + radius) continue;
      } else if (values[Math.round(my) * width + Math.round(mx)]! - NODE_ERROR > reach + radius) continue;
      work += 6;
      for (let k = 3 * runs[r]!; k < 3 * runs[r + 1]!; k += 3) {
        const fx = c * samples[k]! - s * samples[k + 1]! + dx;
        const fy = s * samples[k]! + c * samples[k + 1]! + dy;
        if (!(fx >= 0 && fy >= 0 && fx < right && fy < top)) continue;
        const ix = Math.floor(fx);
        const iy = Math.floor(fy);
        const u = fx - ix;
        const v = fy - iy;
        const o = iy * width + ix;
        const v00 = values[o]!;
        const v01 = values[o + width]!;
        const e0 = values[o + 1]! - v00;
        const e1 = values[o + width + 1]! - v01;
        const distance = v00 + u * e0 + v * (v01 + u * e1 - v00 - u * e0);
        if (distance >= reach) continue;
        const gx = e0 + v * (e1 - e0);
        const gy = v01 - v00 + u * (e1 - e0);
        // The gutter is a square, so its reach depends on the direction that parts the two.
        const spread = Math.abs(cb * gx - sb * gy) + Math.abs(sb * gx + cb * gy);
        const missing = gutter * Math.min(Math.max(spread, 1), DIAGONAL) - distance;
        if (missing > 0) cost += missing * samples[k + 2]!;
      }
    }
    this.workCount += work;
    return cost;
  }

  #halfRows(a: number, b: number, from: number, isReversed: boolean): number {
    const ca = this.#cos[a]!;
    const sa = this.#sin[a]!;
    const cb = this.#cos[b]!;
    const sb = this.#sin[b]!;
    const wx = this.xs[a]! - this.xs[b]!;
    const wy = this.ys[a]! - this.ys[b]!;
    const frame = 4 * b;
    const x0 = this.#frames[frame]!;
    const y0 = this.#frames[frame + 1]!;
    const width = this.#frames[frame + 2]!;
    const right = width - 1;
    const top = this.#frames[frame + 3]! - 1;
    const circles = this.#circles[a]!;
    const runs = this.#runs[a]!;
    const samples = this.#samples[a]!;
    const values = this.#fields[b]!;
    const gutter = this.#gutter * this.side;
    const reach = DIAGONAL * gutter;
    if (this.rows.length < from + (samples.length / 3) * ROW) {
      const rows = new Float64Array(2 * (from + (samples.length / 3) * ROW));
      rows.set(this.rows);
      this.rows = rows;
    }
    const { rows } = this;
    let o = from;
    let work = 0;
    for (let r = 0; r + 1 < runs.length; r++) {
      const mx0 = ca * circles[3 * r]! - sa * circles[3 * r + 1]! + wx;
      const my0 = sa * circles[3 * r]! + ca * circles[3 * r + 1]! + wy;
      const mx = cb * mx0 + sb * my0 - x0;
      const my = cb * my0 - sb * mx0 - y0;
      const radius = circles[3 * r + 2]!;
      work++;
      if (mx < 0 || my < 0 || mx > right || my > top) {
        if (mx < -radius || my < -radius || mx > right + radius || my > top + radius) continue;
      } else if (values[Math.round(my) * width + Math.round(mx)]! - NODE_ERROR > reach + radius) continue;
      work += 6;
      for (let k = 3 * runs[r]!; k < 3 * runs[r + 1]!; k += 3) {
        // From a's and from b's centre to the sample.
        const ax = ca * samples[k]! - sa * samples[k + 1]!;
        const ay = sa * samples[k]! + ca * samples[k + 1]!;
        const bx = ax + wx;
        const by = ay + wy;
        const fx = cb * bx + sb * by - x0;
        const fy = cb * by - sb * bx - y0;
        if (!(fx >= 0 && fy >= 0 && fx < right && fy < top)) continue;
        const ix = Math.floor(fx);
        const iy = Math.floor(fy);
        const u = fx - ix;
        const v = fy - iy;
        const n = iy * width + ix;
        const v00 = values[n]!;
        const v01 = values[n + width]!;
        const e0 = values[n + 1]! - v00;
        const e1 = values[n + width + 1]! - v01;
        const distance = v00 + u * e0 + v * (v01 + u * e1 - v00 - u * e0);
        if (distance >= reach) continue;
        const gx = e0 + v * (e1 - e0);
        const gy = v01 - v00 + u * (e1 - e0);
        const nx = cb * gx - sb * gy;
        const ny = sb * gx + cb * gy;
        const spread = Math.abs(nx) + Math.abs(ny);
        const missing = gutter * Math.min(Math.max(spread, 1), DIAGONAL) - distance;
        if (missing <= 0) continue;
        const turnA = ny * ax - nx * ay;
        const turnB = ny * bx - nx * by;
        rows[o] = missing;
        rows[o + 1] = isReversed ? -nx : nx;
        rows[o + 2] = isReversed ? -ny : ny;
        rows[o + 3] = isReversed ? -turnB : turnA;
        rows[o + 4] = isReversed ? turnA : -turnB;
        rows[o + 5] = samples[k + 2]!;
        o += ROW;
      }
    }
    this.workCount += work;
    return o;
  }
}

/** Length of border that a corner outside the square stands for. */
const BORDER_LENGTH = 4;
