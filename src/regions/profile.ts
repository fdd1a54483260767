import type { TriangleSurface } from './triangle-surface.js';

/** Length of the level line and area below it at evenly spaced levels. */
export interface Profile {
  readonly step: number;
  /** Length of the line at level (i + ½) · step. */
  readonly lengths: Float64Array;
  /** Area below level i · step. */
  readonly areas: Float64Array;
}

/**
 * Measures the level lines of a field over the triangles that are open and reached.
 *
 * @param field - one value per vertex, Infinity where not reached
 * @param isOpen - per triangle: 1 where it counts
 */
export function measureProfile(
  surface: TriangleSurface,
  field: Float64Array,
  step: number,
  isOpen?: Uint8Array,
): Profile {
  const { triangles, positions, triangleAreas, triangleCount } = surface;
  let top = 0;
  for (let v = 0; v < field.length; v++) if (field[v]! < Infinity && field[v]! > top) top = field[v]!;
  const count = Math.max(1, Math.ceil(top / step));
  const lengths = new Float64Array(count);
  const areas = new Float64Array(count + 1);
  for (let t = 0; t < triangleCount; t++) {
    if (isOpen && !isOpen[t]) continue;
    let a = triangles[3 * t]!;
    let b = triangles[3 * t + 1]!;
    let c = triangles[3 * t + 2]!;
    if (field[a]! > field[b]!) [a, b] = [b, a];
    if (field[b]! > field[c]!) [b, c] = [c, b];
    if (field[a]! > field[b]!) [a, b] = [b, a];
    const low = field[a]!;
    const middle = field[b]!;
    const high = field[c]!;
    if (!(high < Infinity)) continue;
    areas[Math.min(count, 1 + Math.floor((low + middle + high) / 3 / step))]! += triangleAreas[t]!;
    if (high <= low) continue;
    // The line is longest where it passes the middle corner, and shrinks linearly to both sides.
    const s = (middle - low) / (high - low);
    let widest = 0;
    for (let k = 0; k < 3; k++) {
      const d = positions[3 * b + k]! - (positions[3 * a + k]! * (1 - s) + positions[3 * c + k]! * s);
      widest += d * d;
    }
    widest = Math.sqrt(widest);
    const last = Math.min(count - 1, Math.floor(high / step - 0.5));
    for (let i = Math.max(0, Math.ceil(low / step - 0.5)); i <= last; i++) {
      const level = (i + 0.5) * step;
      lengths[i]! +=
        level < middle
          ? (widest * (level - low)) / (middle - low)
          : high > middle
            ? (widest * (high - level)) / (high - middle)
            : widest;
    }
  }
  for (let i = 0; i < count; i++) areas[i + 1]! += areas[i]!;
  return { step, lengths, areas };
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
