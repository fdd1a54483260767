import { listMembers } from '../structures/index.js';

/** Uniform cells over a fixed set of points for nearest-point queries within a radius. */
export class PointGrid {
  readonly #positions: Float64Array;
  readonly #low: readonly [number, number, number];
  readonly #counts: readonly [number, number, number];
  readonly #cell: number;
  readonly #offsets: Int32Array;
  readonly #members: Int32Array;

  /** @param positions - xyz, 3 × count */
  constructor(positions: Float64Array) {
    this.#positions = positions;
    const count = positions.length / 3;
    const low: [number, number, number] = [Infinity, Infinity, Infinity];
    const size: [number, number, number] = [-Infinity, -Infinity, -Infinity];
    for (let i = 0; i < positions.length; i++) {
      const k = (i % 3) as 0 | 1 | 2;
      low[k] = Math.min(low[k], positions[i]!);
      size[k] = Math.max(size[k], positions[i]!);
    }
    for (const k of [0, 1, 2] as const) size[k] = count > 0 ? size[k] - low[k] : 0;
    // Points of a surface fill few of the cells, so a side of √count cells leaves a handful in each.
    const longest = Math.max(...size);
    this.#cell = longest > 0 ? longest / Math.min(96, Math.max(1, Math.ceil(Math.sqrt(count) / 2))) : 1;
    this.#low = low;
    const cells = (k: 0 | 1 | 2) => Math.floor(size[k] / this.#cell) + 1;
    this.#counts = [cells(0), cells(1), cells(2)];
    const pointCells = new Int32Array(count);
    for (let i = 0; i < count; i++) {
      pointCells[i] = this.#cellIndex(
        this.#cellAlong(0, positions[3 * i]!),
        this.#cellAlong(1, positions[3 * i + 1]!),
        this.#cellAlong(2, positions[3 * i + 2]!),
      );
    }
    const { starts, members } = listMembers(pointCells, this.#counts[0] * this.#counts[1] * this.#counts[2]);
    this.#offsets = starts;
    this.#members = members;
  }

  /** Index of the nearest point within the radius, the lowest among equals, or -1. */
  nearest(x: number, y: number, z: number, radius: number): number {
    const positions = this.#positions;
    let best = -1;
    let bestSquare = radius * radius;
    const lastZ = this.#cellAlong(2, z + radius);
    const lastY = this.#cellAlong(1, y + radius);
    const lastX = this.#cellAlong(0, x + radius);
    for (let k = this.#cellAlong(2, z - radius); k <= lastZ; k++)
      for (let j = this.#cellAlong(1, y - radius); j <= lastY; j++)
        for (let i = this.#cellAlong(0, x - radius); i <= lastX; i++) {
          const cell = this.#cellIndex(i, j, k);
          const end = this.#offsets[cell + 1]!;
          for (let m = this.#offsets[cell]!; m < end; m++) {
            const p = this.#members[m]!;
            const dx = positions[3 * p]! - x;
            const dy = positions[3 * p + 1]! - y;
            const dz = positions[3 * p + 2]! - z;
            const square = dx * dx + dy * dy + dz * dz;
            if (square < bestSquare || (square === bestSquare && (best < 0 || p < best))) {
              best = p;
              bestSquare = square;
            }
          }
        }
    return best;
  }

  #cellAlong(k: 0 | 1 | 2, value: number): number {
    const cell = Math.floor((value - this.#low[k]) / this.#cell);
    return Math.max(0, Math.min(this.#counts[k] - 1, cell));
  }

  #cellIndex(i: number, j: number, k: number): number {
    return (k * this.#counts[1] + j) * this.#counts[0] + i;
  }
}
