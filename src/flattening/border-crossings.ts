import { orient2d } from 'robust-predicates';

/**
 * Pairs of sides of a closed outline that cross or touch, decided exactly. Side i runs from point i to
 * point i + 1. Neighbours count only when they fold back onto one another.
 *
 * A disk without flipped faces overlaps itself only if its outline does. Near linear for even sides.
 *
 * @param outline - xy of the points, 2 × n
 * @param limit - stops after this many pairs
 */
export function findBorderCrossings(outline: Float64Array, limit = Infinity): [number, number][] {
  const n = outline.length / 2;
  const crossings: [number, number][] = [];
  const grid = new SideGrid(outline);
  const marks = new Int32Array(n).fill(-1);
  for (let i = 0; i < n && crossings.length < limit; i++) {
    grid.visit(i, (j) => {
      if (j <= i || marks[j] === i) return;
      marks[j] = i;
      if (sidesMeet(outline, i, j) && crossings.length < limit) crossings.push([i, j]);
    });
  }
  return crossings;
}

function sidesMeet(p: Float64Array, i: number, j: number): boolean {
  const n = p.length / 2;
  const a = 2 * i;
  const b = 2 * ((i + 1) % n);
  const c = 2 * j;
  const d = 2 * ((j + 1) % n);
  if (n === 2) return true;
  if (b === c) return foldsBack(p, a, b, d);
  if (d === a) return foldsBack(p, c, d, b);
  if (
    Math.max(p[a]!, p[b]!) < Math.min(p[c]!, p[d]!) ||
    Math.max(p[c]!, p[d]!) < Math.min(p[a]!, p[b]!) ||
    Math.max(p[a + 1]!, p[b + 1]!) < Math.min(p[c + 1]!, p[d + 1]!) ||
    Math.max(p[c + 1]!, p[d + 1]!) < Math.min(p[a + 1]!, p[b + 1]!)
  ) {
    return false;
  }
  const side = (x: number, y: number, z: number) =>
    Math.sign(orient2d(p[x]!, p[x + 1]!, p[y]!, p[y + 1]!, p[z]!, p[z + 1]!));
  return side(a, b, c) * side(a, b, d) <= 0 && side(c, d, a) * side(c, d, b) <= 0;
}

function foldsBack(p: Float64Array, a: number, b: number, c: number): boolean {
  if (orient2d(p[a]!, p[a + 1]!, p[b]!, p[b + 1]!, p[c]!, p[c + 1]!) !== 0) return false;
  return (p[a]! - p[b]!) * (p[c]! - p[b]!) + (p[a + 1]! - p[b + 1]!) * (p[c + 1]! - p[b + 1]!) >= 0;
}

/** Uniform grid of the sides' boxes, about one cell per side. */
class SideGrid {
  readonly #outline: Float64Array;
  readonly #low = [Infinity, Infinity];
  readonly #cell: number;
  readonly #columns: number;
  readonly #rows: number;
  readonly #offsets: Int32Array;
  readonly #sides: Int32Array;

  constructor(outline: Float64Array) {
    this.#outline = outline;
    const n = outline.length / 2;
    const high = [-Infinity, -Infinity];
    let lengthSum = 0;
    for (let i = 0; i < n; i++) {
      const j = (i + 1) % n;
      for (let k = 0; k < 2; k++) {
        this.#low[k] = Math.min(this.#low[k]!, outline[2 * i + k]!);
        high[k] = Math.max(high[k]!, outline[2 * i + k]!);
      }
      lengthSum += Math.hypot(outline[2 * j]! - outline[2 * i]!, outline[2 * j + 1]! - outline[2 * i + 1]!);
    }
    const width = high[0]! - this.#low[0]!;
    const height = high[1]! - this.#low[1]!;
    const cell = Math.max(
      lengthSum / n,
      Math.sqrt((width * height) / (4 * n)),
      Math.max(width, height) / (4 * n),
    );
    this.#cell = cell > 0 ? cell : 1;
    this.#columns = Math.floor(width / this.#cell) + 1;
    this.#rows = Math.floor(height / this.#cell) + 1;
    const counts = new Int32Array(this.#columns * this.#rows + 1);
    for (let i = 0; i < n; i++) this.#cells(i, (c) => counts[c + 1]!++);
    for (let c = 0; c + 1 < counts.length; c++) counts[c + 1]! += counts[c]!;
    this.#offsets = counts.slice();
    this.#sides = new Int32Array(counts[counts.length - 1]!);
    for (let i = 0; i < n; i++)
      this.#cells(i, (c) => {
        this.#sides[counts[c]!++] = i;
      });
  }

  /** Calls back with every side that shares a cell with side `i`, some more than once. */
  visit(i: number, call: (side: number) => void): void {
    this.#cells(i, (c) => {
      for (let p = this.#offsets[c]!; p < this.#offsets[c + 1]!; p++) call(this.#sides[p]!);
    });
  }

  #cells(i: number, call: (cell: number) => void): void {
    const p = this.#outline;
    const j = (i + 1) % (p.length / 2);
    const [lowX, lowY] = this.#low as [number, number];
    const x0 = Math.floor((Math.min(p[2 * i]!, p[2 * j]!) - lowX) / this.#cell);
    const x1 = Math.floor((Math.max(p[2 * i]!, p[2 * j]!) - lowX) / this.#cell);
    const y0 = Math.floor((Math.min(p[2 * i + 1]!, p[2 * j + 1]!) - lowY) / this.#cell);
    const y1 = Math.floor((Math.max(p[2 * i + 1]!, p[2 * j + 1]!) - lowY) / this.#cell);
    for (let y = y0; y <= y1; y++) for (let x = x0; x <= x1; x++) call(y * this.#columns + x);
  }
}
