import type { PairView } from './half-overlap.js';
import { addHalf, DIAGONAL, halfCost, SUM_COUNT } from './half-overlap.js';
import type { CellPiece, OverlapShape } from './overlap-shape.js';
import { buildOverlapShape } from './overlap-shape.js';

/** Where a piece lies: its centre in cells, and its turn. */
export interface Pose {
  x: number;
  y: number;
  angle: number;
}

/** Length of border that a corner outside the square stands for. */
const BORDER_LENGTH = 4;

/**
 * Pieces in a square, and by how much they break their margins at any pose.
 *
 * A pair's cost is the integral, along both borders, of what is missing to the gutter; it is
 * sampled from the signed distance field of one piece at points of the other's border.
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
  /** The sums found last for every pair, lower number first, and on the diagonal for the square's edge. */
  readonly sums: Float64Array;
  readonly #border: number;
  readonly #gutter: number;
  readonly #band: number;
  readonly #cos: Float64Array;
  readonly #sin: Float64Array;
  readonly #shapes: readonly OverlapShape[];
  readonly #view: PairView = { ca: 1, sa: 0, cb: 1, sb: 0, wx: 0, wy: 0, workCount: 0 };
  /** Counts the moves; when each piece moved last, and when each pair's sums were found. */
  #clock = 1;
  readonly #moved: Float64Array;
  readonly #summed: Float64Array;
  #side = 0;

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
    this.weights = new Float64Array(n * n).fill(1);
    this.sums = new Float64Array(n * n * SUM_COUNT);
    this.#cos = new Float64Array(n).fill(1);
    this.#sin = new Float64Array(n);
    this.#moved = new Float64Array(n).fill(1);
    this.#summed = new Float64Array(n * n);
    this.#shapes = pieces.map((piece) => buildOverlapShape(piece, this.#band));
    this.radii = Float64Array.from(this.#shapes, (shape) => shape.radius);
  }

  /** Side of the square. */
  get side(): number {
    return this.#side;
  }

  set side(side: number) {
    if (side === this.#side) return;
    this.#side = side;
    this.#moved.fill(++this.#clock);
  }

  /** Samples looked up so far. */
  get workCount(): number {
    return this.#view.workCount;
  }

  pose(i: number): Pose {
    return { x: this.xs[i]!, y: this.ys[i]!, angle: this.angles[i]! };
  }

  setPose(i: number, { x, y, angle }: Pose): void {
    if (this.xs[i] === x && this.ys[i] === y && this.angles[i] === angle) return;
    this.#moved[i] = ++this.#clock;
    this.#put(i, x, y, angle);
  }

  #put(i: number, x: number, y: number, angle: number): void {
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
    const { hull } = this.#shapes[i]!;
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

  /**
   * Weighted cost of one piece at a pose against the others where they are; Infinity from the limit on.
   *
   * @param thinning - every so many samples stand for all
   */
  cost(i: number, { x, y, angle }: Pose, limit = Infinity, thinning = 1): number {
    const { xs, ys, radii, weights, count } = this;
    const kept = this.pose(i);
    // Moved for a moment only: the sums found where it was stay good.
    this.#put(i, x, y, angle);
    let cost = weights[i * (count + 1)]! * this.#borderCost(i);
    const far = radii[i]! + this.#band;
    for (let j = 0; j < count && cost < limit; j++) {
      if (j === i) continue;
      const dx = xs[j]! - x;
      const dy = ys[j]! - y;
      const reach = far + radii[j]!;
      if (dx * dx + dy * dy >= reach * reach) continue;
      const weight = weights[i * count + j]!;
      cost += weight * this.#halfCost(i, j, (limit - cost) / weight, thinning);
      if (cost < limit) cost += weight * this.#halfCost(j, i, (limit - cost) / weight, thinning);
    }
    this.#put(i, kept.x, kept.y, kept.angle);
    return cost < limit ? cost : Infinity;
  }

  /** Start in `sums` of how far a piece leaves the square; what a second piece would add is 0. */
  findBorderSums(i: number): number {
    const n = this.count;
    const at = i * (n + 1) * SUM_COUNT;
    if (this.#summed[i * (n + 1)]! >= this.#moved[i]!) return at;
    this.#summed[i * (n + 1)] = this.#clock;
    const { sums } = this;
    sums.fill(0, at, at + SUM_COUNT);
    this.#forEachOutside(i, (missing, nx, ny, turn) => {
      const lm = BORDER_LENGTH * missing;
      sums[at]! += lm * missing;
      sums[at + 1] = Math.max(sums[at + 1]!, missing);
      sums[at + 2]! += lm * nx;
      sums[at + 3]! += lm * ny;
      sums[at + 4]! += lm * turn;
      sums[at + 6]! += BORDER_LENGTH * nx * nx;
      sums[at + 8]! += BORDER_LENGTH * ny * ny;
      sums[at + 9]! += BORDER_LENGTH * nx * turn;
      sums[at + 10]! += BORDER_LENGTH * ny * turn;
      sums[at + 11]! += BORDER_LENGTH * turn * turn;
    });
    return at;
  }

  /** Start in `sums` of where two pieces are too close, i the lower number. */
  findPairSums(i: number, j: number): number {
    const pair = i * this.count + j;
    const at = pair * SUM_COUNT;
    const found = this.#summed[pair]!;
    if (found >= this.#moved[i]! && found >= this.#moved[j]!) return at;
    this.#summed[pair] = this.#clock;
    const { sums } = this;
    sums.fill(0, at, at + SUM_COUNT);
    const dx = this.xs[j]! - this.xs[i]!;
    const dy = this.ys[j]! - this.ys[i]!;
    const reach = this.radii[i]! + this.radii[j]! + this.#band;
    if (dx * dx + dy * dy >= reach * reach) return at;
    const gutter = this.#gutter * this.side;
    const a = this.#shapes[i]!;
    const b = this.#shapes[j]!;
    addHalf(a, b, this.#look(i, j), { gutter, isReversed: false }, sums, at);
    addHalf(b, a, this.#look(j, i), { gutter, isReversed: true }, sums, at);
    return at;
  }

  #halfCost(a: number, b: number, limit: number, thinning: number): number {
    const options = { gutter: this.#gutter * this.side, limit, thinning };
    return halfCost(this.#shapes[a]!, this.#shapes[b]!, this.#look(a, b), options);
  }

  #look(a: number, b: number): PairView {
    const view = this.#view;
    view.ca = this.#cos[a]!;
    view.sa = this.#sin[a]!;
    view.cb = this.#cos[b]!;
    view.sb = this.#sin[b]!;
    view.wx = this.xs[a]! - this.xs[b]!;
    view.wy = this.ys[a]! - this.ys[b]!;
    return view;
  }

  #borderCost(i: number): number {
    let cost = 0;
    this.#forEachOutside(i, (missing) => {
      cost += BORDER_LENGTH * missing;
    });
    return cost;
  }

  /** Visits the hull's corners outside the square's border: by how much, the way back, and how a turn helps. */
  #forEachOutside(i: number, visit: (missing: number, nx: number, ny: number, turn: number) => void): void {
    const { hull } = this.#shapes[i]!;
    const c = this.#cos[i]!;
    const s = this.#sin[i]!;
    const low = this.#border * this.side;
    const high = this.side - low;
    const x0 = this.xs[i]!;
    const y0 = this.ys[i]!;
    for (let k = 0; k < hull.length; k += 2) {
      const px = c * hull[k]! - s * hull[k + 1]!;
      const py = s * hull[k]! + c * hull[k + 1]!;
      if (px + x0 < low) visit(low - px - x0, 1, 0, -py);
      else if (px + x0 > high) visit(px + x0 - high, -1, 0, py);
      if (py + y0 < low) visit(low - py - y0, 0, 1, px);
      else if (py + y0 > high) visit(py + y0 - high, 0, -1, -px);
    }
  }
}
