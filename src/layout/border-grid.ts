import type { OutlineSet } from './outline-set.js';
import { squareDistance } from './square-distance.js';

/** Buckets of border segments on a grid over the outlines. */
export class BorderGrid {
  readonly #set: OutlineSet;
  readonly #x0: number;
  readonly #y0: number;
  readonly #width: number;
  readonly #height: number;
  readonly #cell: number;
  readonly #reach: number;
  readonly #offsets: Int32Array;
  readonly #segments: Int32Array;

  constructor(set: OutlineSet, reach: number) {
    this.#set = set;
    this.#reach = reach;
    let x0 = 0;
    let y0 = 0;
    let x1 = 1;
    let y1 = 1;
    const { boxes } = set;
    for (let i = 0; i < set.pieceCount; i++) {
      if (boxes[4 * i]! > boxes[4 * i + 2]!) continue;
      x0 = Math.min(x0, boxes[4 * i]!);
      y0 = Math.min(y0, boxes[4 * i + 1]!);
      x1 = Math.max(x1, boxes[4 * i + 2]!);
      y1 = Math.max(y1, boxes[4 * i + 3]!);
    }
    const target = Math.min(1024, Math.max(16, Math.ceil(Math.sqrt(set.vertexCount))));
    this.#cell = Math.max(reach, Math.max(x1 - x0, y1 - y0) / target);
    this.#x0 = x0;
    this.#y0 = y0;
    this.#width = Math.floor((x1 - x0) / this.#cell) + 1;
    this.#height = Math.floor((y1 - y0) / this.#cell) + 1;
    this.#offsets = new Int32Array(this.#width * this.#height + 1);
    for (let a = 0; a < set.vertexCount; a++) this.#forEachCell(a, (k) => void this.#offsets[k + 1]!++);
    for (let k = 0; k < this.#width * this.#height; k++) this.#offsets[k + 1]! += this.#offsets[k]!;
    this.#segments = new Int32Array(this.#offsets[this.#width * this.#height]!);
    const fill = this.#offsets.slice();
    for (let a = 0; a < set.vertexCount; a++)
      this.#forEachCell(a, (k) => void (this.#segments[fill[k]!++] = a));
  }

  /** Visits the cells of a segment's bounding box, widened by the reach. */
  #forEachCell(a: number, visit: (cell: number) => void): void {
    const { world, nextVertices } = this.#set;
    const b = nextVertices[a]!;
    const r = this.#reach;
    const x0 = this.#column(Math.min(world[2 * a]!, world[2 * b]!) - r);
    const x1 = this.#column(Math.max(world[2 * a]!, world[2 * b]!) + r);
    const y0 = this.#row(Math.min(world[2 * a + 1]!, world[2 * b + 1]!) - r);
    const y1 = this.#row(Math.max(world[2 * a + 1]!, world[2 * b + 1]!) + r);
    for (let y = y0; y <= y1; y++) for (let x = x0; x <= x1; x++) visit(y * this.#width + x);
  }

  #column(x: number): number {
    return Math.min(this.#width - 1, Math.max(0, Math.floor((x - this.#x0) / this.#cell)));
  }

  #row(y: number): number {
    return Math.min(this.#height - 1, Math.max(0, Math.floor((y - this.#y0) / this.#cell)));
  }

  /** Visits every vertex with every segment of another piece in its cell. */
  forEachNear(visit: (vertex: number, segment: number) => void): void {
    const { world, vertexGroups, vertexCount } = this.#set;
    for (let v = 0; v < vertexCount; v++) {
      const k = this.#row(world[2 * v + 1]!) * this.#width + this.#column(world[2 * v]!);
      const piece = vertexGroups[v]!;
      for (let s = this.#offsets[k]!; s < this.#offsets[k + 1]!; s++)
        if (vertexGroups[this.#segments[s]!] !== piece) visit(v, this.#segments[s]!);
    }
  }

  /** Least distance of a vertex from a segment of another piece, `limit` when none is closer. */
  leastDistance(limit: number): number {
    const { world, nextVertices } = this.#set;
    let least = limit;
    this.forEachNear((v, a) => {
      const b = nextVertices[a]!;
      const vx = world[2 * v]!;
      const vy = world[2 * v + 1]!;
      least = Math.min(
        least,
        squareDistance(
          world[2 * a]! - vx,
          world[2 * a + 1]! - vy,
          world[2 * b]! - vx,
          world[2 * b + 1]! - vy,
          least,
        ),
      );
    });
    return least;
  }

  /** Whether two segments of different pieces cross or touch. */
  hasCrossing(): boolean {
    const { vertexGroups } = this.#set;
    for (let k = 0; k + 1 < this.#offsets.length; k++) {
      for (let s = this.#offsets[k]!; s < this.#offsets[k + 1]!; s++) {
        const a = this.#segments[s]!;
        for (let t = s + 1; t < this.#offsets[k + 1]!; t++) {
          const b = this.#segments[t]!;
          if (vertexGroups[a] !== vertexGroups[b] && this.#cross(a, b)) return true;
        }
      }
    }
    return false;
  }

  #cross(a: number, c: number): boolean {
    const { world, nextVertices } = this.#set;
    const b = nextVertices[a]!;
    const d = nextVertices[c]!;
    const ax = world[2 * a]!;
    const ay = world[2 * a + 1]!;
    const bx = world[2 * b]!;
    const by = world[2 * b + 1]!;
    const cx = world[2 * c]!;
    const cy = world[2 * c + 1]!;
    const dx = world[2 * d]!;
    const dy = world[2 * d + 1]!;
    if (Math.max(ax, bx) < Math.min(cx, dx) || Math.max(cx, dx) < Math.min(ax, bx)) return false;
    if (Math.max(ay, by) < Math.min(cy, dy) || Math.max(cy, dy) < Math.min(ay, by)) return false;
    const p = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
    const q = (bx - ax) * (dy - ay) - (by - ay) * (dx - ax);
    if ((p > 0 && q > 0) || (p < 0 && q < 0)) return false;
    const r = (dx - cx) * (ay - cy) - (dy - cy) * (ax - cx);
    const s = (dx - cx) * (by - cy) - (dy - cy) * (bx - cx);
    return !((r > 0 && s > 0) || (r < 0 && s < 0));
  }
}
