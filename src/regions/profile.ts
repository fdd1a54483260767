import type { TriangleSurface } from './triangle-surface.js';

/** Length of the level line and area below it at evenly spaced levels. */
export interface Profile {
  readonly step: number;
  /** Length of the line at level (i + ½) · step. */
  readonly lengths: Float64Array;
  /** Area below level i · step. */
  readonly areas: Float64Array;
}

/** The level lines of a field over a whole surface: a profile in one go. */
export const measureProfile = (surface: TriangleSurface, field: Float64Array, step: number): Profile =>
  new OpenProfile(surface, field, step).read();

/** Lengths and areas below this share of a level line's first length are what rounding left of nothing. */
const NOTHING = 1e-9;

/**
 * The level lines of a field, from which triangles can be taken off again: measuring anew after each piece
 * taken off a shell took a fifth of the whole search.
 */
export class OpenProfile {
  readonly #surface: TriangleSurface;
  readonly #field: Float64Array;
  readonly #step: number;
  readonly #lengths: Float64Array;
  /** Area of the triangles whose middle lies before each level and after the one before. */
  readonly #areas: Float64Array;
  readonly #least: number;

  /** @param field - one value per vertex, Infinity where not reached */
  constructor(surface: TriangleSurface, field: Float64Array, step: number) {
    this.#surface = surface;
    this.#field = field;
    this.#step = step;
    let top = 0;
    for (let v = 0; v < field.length; v++) if (field[v]! < Infinity && field[v]! > top) top = field[v]!;
    const count = Math.max(1, Math.ceil(top / step));
    this.#lengths = new Float64Array(count);
    this.#areas = new Float64Array(count + 1);
    this.#least = NOTHING * Math.sqrt(surface.area);
    for (let t = 0; t < surface.triangleCount; t++) this.#tally(t, 1);
  }

  /** Takes triangles off. */
  remove(triangles: ArrayLike<number>): void {
    for (let i = 0; i < triangles.length; i++) this.#tally(triangles[i]!, -1);
  }

  /** What is left. */
  read(): Profile {
    const lengths = this.#lengths.map((length) => (length > this.#least ? length : 0));
    const areas = this.#areas.slice();
    for (let i = 0; i + 1 < areas.length; i++) areas[i + 1] = areas[i]! + Math.max(0, areas[i + 1]!);
    return { step: this.#step, lengths, areas };
  }

  #tally(t: number, sign: 1 | -1): void {
    const { triangles, positions, triangleAreas } = this.#surface;
    const field = this.#field;
    const step = this.#step;
    const lengths = this.#lengths;
    const count = lengths.length;
    let a = triangles[3 * t]!;
    let b = triangles[3 * t + 1]!;
    let c = triangles[3 * t + 2]!;
    if (field[a]! > field[b]!) [a, b] = [b, a];
    if (field[b]! > field[c]!) [b, c] = [c, b];
    if (field[a]! > field[b]!) [a, b] = [b, a];
    const low = field[a]!;
    const middle = field[b]!;
    const high = field[c]!;
    if (!(high < Infinity)) return;
    this.#areas[Math.min(count, 1 + Math.floor((low + middle + high) / 3 / step))]! +=
      sign * triangleAreas[t]!;
    const first = Math.max(0, Math.ceil(low / step - 0.5));
    const last = Math.min(count - 1, Math.floor(high / step - 0.5));
    if (high <= low || first > last) return;
    // The line is longest where it passes the middle corner, and shrinks linearly to both sides.
    const s = (middle - low) / (high - low);
    let widest = 0;
    for (let k = 0; k < 3; k++) {
      const d = positions[3 * b + k]! - (positions[3 * a + k]! * (1 - s) + positions[3 * c + k]! * s);
      widest += d * d;
    }
    widest = sign * Math.sqrt(widest);
    for (let i = first; i <= last; i++) {
      const level = (i + 0.5) * step;
      lengths[i]! +=
        level < middle
          ? (widest * (level - low)) / (middle - low)
          : high > middle
            ? (widest * (high - level)) / (high - middle)
            : widest;
    }
  }
}

/** The same profile at twice the step. */
export function halveProfile({ step, lengths, areas }: Profile): Profile {
  const count = Math.ceil(lengths.length / 2);
  const halved = new Float64Array(count);
  const below = new Float64Array(count + 1);
  for (let i = 0; i < count; i++) {
    const second = 2 * i + 1 < lengths.length ? lengths[2 * i + 1]! : 0;
    halved[i] = (lengths[2 * i]! + second) / 2;
    below[i + 1] = areas[Math.min(areas.length - 1, 2 * i + 2)]!;
  }
  return { step: 2 * step, lengths: halved, areas: below };
}
