import type { ClearanceField } from './clearance-field.js';
import { CLEARANCE_UNIT, ClearanceFieldBuilder } from './clearance-field.js';
import { RandomSource } from './random-source.js';
import type { CellSpans } from './scan-outline.js';
import { scanOutline } from './scan-outline.js';

/** Outline in cells about its centre. */
export interface CellPiece {
  readonly points: Float64Array;
  readonly loopOffsets: Int32Array;
}

/** Pose of every piece: turn index, and centre in cells. */
export interface Poses {
  readonly turns: Int32Array;
  readonly xs: Float64Array;
  readonly ys: Float64Array;
}

interface Pose {
  cost: number;
  turn: number;
  x: number;
  y: number;
}

export interface OverlapSearchOptions {
  readonly turnCount: number;
  /** Free border and distance, as shares of the container's side. */
  readonly border: number;
  readonly gutter: number;
  /** Largest side that will be set, in cells. */
  readonly maxSide: number;
}

export class OverlapSearch {
  readonly #count: number;
  readonly #turnCount: number;
  readonly #spans: CellSpans[][];
  readonly #fields: (ClearanceField | undefined)[];
  readonly #extents: Float64Array;
  readonly #reach: Float64Array;
  readonly #cos: Float64Array;
  readonly #sin: Float64Array;
  readonly #weights: Float64Array;
  readonly #builder = new ClearanceFieldBuilder();
  readonly #band: number;
  readonly #border: number;
  readonly #gutter: number;
  #side = 0;
  #clearance = 0;
  readonly turns: Int32Array;
  readonly xs: Float64Array;
  readonly ys: Float64Array;
  /** Source of the random choices. */
  random = new RandomSource(1);
  /** Pairs weighed so far. */
  pairCount = 0;

  constructor(pieces: readonly CellPiece[], { turnCount, border, gutter, maxSide }: OverlapSearchOptions) {
    const n = pieces.length;
    this.#count = n;
    this.#turnCount = turnCount;
    this.#border = border;
    this.#gutter = gutter;
    this.#band = Math.ceil(1.42 * gutter * maxSide) + 2;
    this.#cos = Float64Array.from({ length: turnCount }, (_, t) => Math.cos((2 * Math.PI * t) / turnCount));
    this.#sin = Float64Array.from({ length: turnCount }, (_, t) => Math.sin((2 * Math.PI * t) / turnCount));
    this.#spans = [];
    this.#extents = new Float64Array(4 * n * turnCount);
    this.#reach = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      const { points, loopOffsets } = pieces[i]!;
      const turned = new Float64Array(points.length);
      const row: CellSpans[] = [];
      for (let t = 0; t < turnCount; t++) {
        const c = this.#cos[t]!;
        const s = this.#sin[t]!;
        let x0 = Infinity;
        let x1 = -Infinity;
        let y0 = Infinity;
        let y1 = -Infinity;
        for (let k = 0; k < points.length; k += 2) {
          const x = c * points[k]! - s * points[k + 1]!;
          const y = s * points[k]! + c * points[k + 1]!;
          turned[k] = x;
          turned[k + 1] = y;
          if (x < x0) x0 = x;
          if (x > x1) x1 = x;
          if (y < y0) y0 = y;
          if (y > y1) y1 = y;
          this.#reach[i] = Math.max(this.#reach[i]!, Math.hypot(x, y));
        }
        this.#extents.set([x0, x1, y0, y1], 4 * (i * turnCount + t));
        row.push(scanOutline(turned, loopOffsets, this.#reach[i]! < 3));
      }
      this.#spans.push(row);
    }
    this.#fields = new Array(n * n * turnCount);
    this.#weights = new Float64Array(n * n).fill(1);
    this.turns = new Int32Array(n);
    this.xs = new Float64Array(n);
    this.ys = new Float64Array(n);
  }

  poses(): Poses {
    return { turns: this.turns.slice(), xs: this.xs.slice(), ys: this.ys.slice() };
  }

  setPoses(p: Poses): void {
    this.turns.set(p.turns);
    this.xs.set(p.xs);
    this.ys.set(p.ys);
  }

  /**
   * Sets the container's side in cells and pushes all pieces inside, after rescaling their positions from the
   * side they were found at. Whether every piece fits at some turn.
   */
  setSide(side: number, from = Infinity): boolean {
    const factor = from < Infinity ? side / from : 1;
    this.#side = side;
    this.#clearance = this.#gutter * side * CLEARANCE_UNIT;
    for (let i = 0; i < this.#count; i++) {
      let box = this.#box(i, this.turns[i]!);
      for (let k = 0; !box && k < this.#turnCount; k++) {
        this.turns[i] = k;
        box = this.#box(i, k);
      }
      if (!box) return false;
      this.xs[i] = Math.min(box[1], Math.max(box[0], this.xs[i]! * factor));
      this.ys[i] = Math.min(box[3], Math.max(box[2], this.ys[i]! * factor));
    }
    return true;
  }

  /** Puts every piece at a random place. */
  scatter(): void {
    for (let i = 0; i < this.#count; i++) this.#randomPose(i);
  }

  #randomPose(i: number): void {
    for (let tries = 0; tries < 64; tries++) {
      const t = this.random.below(this.#turnCount);
      const box = this.#box(i, t);
      if (!box) continue;
      this.turns[i] = t;
      this.xs[i] = box[0] + this.random.next() * (box[1] - box[0]);
      this.ys[i] = box[2] + this.random.next() * (box[3] - box[2]);
      return;
    }
  }

  #box(i: number, t: number): [number, number, number, number] | undefined {
    const o = 4 * (i * this.#turnCount + t);
    const low = this.#border * this.#side;
    const high = this.#side - low;
    const x0 = low - this.#extents[o]!;
    const x1 = high - this.#extents[o + 1]!;
    const y0 = low - this.#extents[o + 2]!;
    const y1 = high - this.#extents[o + 3]!;
    return x0 <= x1 && y0 <= y1 ? [x0, x1, y0, y1] : undefined;
  }

  #field(low: number, high: number, turn: number): ClearanceField {
    const k = (low * this.#count + high) * this.#turnCount + turn;
    let field = this.#fields[k];
    if (!field) {
      field = this.#builder.build(this.#spans[low]![0]!, this.#spans[high]![turn]!, this.#band);
      this.#fields[k] = field;
    }
    return field;
  }

  /** How far i at a pose falls short of its clearance to j, in field units. */
  #shortfall(i: number, j: number, turn: number, x: number, y: number): number {
    let a: number;
    let b: number;
    let ta: number;
    let tb: number;
    let dx: number;
    let dy: number;
    if (i < j) {
      a = i;
      b = j;
      ta = turn;
      tb = this.turns[j]!;
      dx = this.xs[j]! - x;
      dy = this.ys[j]! - y;
    } else {
      a = j;
      b = i;
      ta = this.turns[j]!;
      tb = turn;
      dx = x - this.xs[j]!;
      dy = y - this.ys[j]!;
    }
    const far = this.#reach[a]! + this.#reach[b]! + this.#band;
    if (dx * dx + dy * dy > far * far) return 0;
    const n = this.#turnCount;
    const rel = tb >= ta ? tb - ta : tb - ta + n;
    const field = this.#fields[(a * this.#count + b) * n + rel] ?? this.#field(a, b, rel);
    const c = this.#cos[ta]!;
    const s = this.#sin[ta]!;
    const fx = c * dx + s * dy - field.x0;
    const fy = c * dy - s * dx - field.y0;
    const ix = Math.floor(fx);
    const iy = Math.floor(fy);
    const { width, values } = field;
    if (ix < 0 || iy < 0 || ix + 1 >= width || iy + 1 >= field.height) return 0;
    const o = iy * width + ix;
    const u = fx - ix;
    const v = fy - iy;
    const v00 = values[o]!;
    const v10 = values[o + 1]!;
    const v01 = values[o + width]!;
    const v11 = values[o + width + 1]!;
    const top = v00 + u * (v10 - v00);
    const bottom = v01 + u * (v11 - v01);
    const distance = top + v * (bottom - top);
    if (distance > 1.42 * this.#clearance) return 0;
    // The gutter is a square, so its reach depends on the direction that parts the two.
    const gx = v10 - v00 + v11 - v01;
    const gy = v01 - v00 + v11 - v10;
    const length = Math.sqrt(gx * gx + gy * gy);
    const reach = length > 0 ? (Math.abs(c * gx - s * gy) + Math.abs(s * gx + c * gy)) / length : 1;
    const gap = this.#clearance * reach - distance;
    return Math.max(gap, 0);
  }

  #cost(i: number, turn: number, x: number, y: number, limit: number): number {
    let cost = 0;
    const n = this.#count;
    this.pairCount += n;
    for (let j = 0; j < n; j++) {
      if (j === i) continue;
      const gap = this.#shortfall(i, j, turn, x, y);
      if (gap > 0) {
        cost += this.#weights[i * n + j]! * gap;
        if (cost >= limit) return cost;
      }
    }
    return cost;
  }

  /**
   * Removes overlaps one piece at a time, guided by weights that grow on pairs that keep overlapping.
   * Returns the least worst shortfall, in cells.
   */
  separate(maxPasses: number, tolerance: number): boolean {
    const n = this.#count;
    const w = this.#weights;
    w.fill(1);
    const order = new Int32Array(n);
    const gaps = new Float64Array(n * n);
    const isBad = new Uint8Array(n);
    let least = Infinity;
    let leastPoses = this.poses();
    let sinceLeast = 0;
    let strikes = 0;
    for (let pass = 0; pass < maxPasses; pass++) {
      let worst = 0;
      let total = 0;
      isBad.fill(0);
      for (let i = 0; i < n; i++) {
        for (let j = i + 1; j < n; j++) {
          const gap = this.#shortfall(i, j, this.turns[i]!, this.xs[i]!, this.ys[i]!);
          gaps[i * n + j] = gap;
          total += gap;
          if (gap > worst) worst = gap;
          if (gap > 0) isBad[i] = isBad[j] = 1;
        }
      }
      if (worst <= tolerance * CLEARANCE_UNIT) return true;
      if (total < least) {
        if (total < 0.98 * least) sinceLeast = 0;
        least = total;
        leastPoses = this.poses();
      } else if (++sinceLeast > PATIENCE) {
        if (++strikes > STRIKES) return false;
        sinceLeast = 0;
        this.setPoses(leastPoses);
        continue;
      }
      for (let i = 0; i < n; i++) {
        for (let j = i + 1; j < n; j++) {
          const gap = gaps[i * n + j]!;
          const factor = gap > 0 ? 1.2 + 0.8 * (gap / worst) : 0.95;
          w[i * n + j] = w[j * n + i] = Math.max(1, w[i * n + j]! * factor);
        }
      }
      let m = 0;
      for (let i = 0; i < n; i++) if (isBad[i]) order[m++] = i;
      for (let k = m - 1; k > 0; k--) {
        const r = this.random.below(k + 1);
        const swap = order[k]!;
        order[k] = order[r]!;
        order[r] = swap;
      }
      for (let k = 0; k < m; k++) this.#moveBest(order[k]!);
    }
    return false;
  }

  #moveBest(i: number): void {
    const current = this.#cost(i, this.turns[i]!, this.xs[i]!, this.ys[i]!, Infinity);
    if (current === 0) return;
    const best: Pose = { cost: current, turn: this.turns[i]!, x: this.xs[i]!, y: this.ys[i]! };
    const sample: Pose = { cost: Infinity, turn: 0, x: 0, y: 0 };
    const n = this.#turnCount;
    for (let k = 0; k < SAMPLES; k++) {
      const turn = this.random.below(n);
      const box = this.#box(i, turn);
      if (!box) continue;
      const x = box[0] + this.random.next() * (box[1] - box[0]);
      const y = box[2] + this.random.next() * (box[3] - box[2]);
      const cost = this.#cost(i, turn, x, y, sample.cost);
      if (cost < sample.cost) Object.assign(sample, { cost, turn, x, y });
    }
    this.#descend(i, best);
    if (sample.cost < Infinity) this.#descend(i, sample);
    if (sample.cost < best.cost) Object.assign(best, sample);
    this.turns[i] = best.turn;
    this.xs[i] = best.x;
    this.ys[i] = best.y;
  }

  #descend(i: number, p: Pose): void {
    const n = this.#turnCount;
    for (let step = FIRST_STEP; step >= LAST_STEP; ) {
      let moved = false;
      for (let d = 0; d < 4 && p.cost > 0; d++) {
        const box = this.#box(i, p.turn)!;
        const x = Math.min(box[1], Math.max(box[0], p.x + step * DX[d]!));
        const y = Math.min(box[3], Math.max(box[2], p.y + step * DY[d]!));
        if (x === p.x && y === p.y) continue;
        const cost = this.#cost(i, p.turn, x, y, p.cost);
        if (cost < p.cost) {
          p.cost = cost;
          p.x = x;
          p.y = y;
          moved = true;
        }
      }
      for (let d = -1; d <= 1 && n > 4 && p.cost > 0; d += 2) {
        const turn = (p.turn + d + n) % n;
        const box = this.#box(i, turn);
        if (!box) continue;
        const x = Math.min(box[1], Math.max(box[0], p.x));
        const y = Math.min(box[3], Math.max(box[2], p.y));
        const cost = this.#cost(i, turn, x, y, p.cost);
        if (cost < p.cost) {
          p.cost = cost;
          p.turn = turn;
          p.x = x;
          p.y = y;
          moved = true;
        }
      }
      if (p.cost === 0) return;
      if (!moved) step /= 2;
    }
  }
}

/** Random poses weighed before a piece is moved. */
const SAMPLES = 80;
/** First and last step of the descent from the best of them, in cells. */
const FIRST_STEP = 6;
const LAST_STEP = 0.4;
/** Passes without progress before a strike, and strikes before giving up. */
const PATIENCE = 15;
const STRIKES = 2;
const DX = [1, -1, 0, 0];
const DY = [0, 0, 1, -1];
