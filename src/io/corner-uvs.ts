import { FormatError, InvalidMeshError } from '../errors.js';
import type { IndexedUvs } from './source-document.js';

/** @throws UV_INVALID unless `cornerUvs` has two numbers for each corner, finite or NaN */
export function checkCornerUvs(cornerUvs: ArrayLike<number>, cornerCount: number, caller: string): void {
  if (cornerUvs.length !== 2 * cornerCount) {
    throw new InvalidMeshError(
      'UV_INVALID',
      `${caller}: wrong number of UVs, got ${cornerUvs.length} numbers, expected ${2 * cornerCount} (two for each corner)`,
      { length: cornerUvs.length, cornerCount },
    );
  }
  for (let i = 0; i < cornerUvs.length; i++) {
    if (Math.abs(cornerUvs[i]!) === Infinity) {
      const corner = i >> 1;
      throw new InvalidMeshError(
        'UV_INVALID',
        `${caller}: the UV of corner ${corner} is infinite, expected finite numbers (or NaN for none)`,
        { corner },
      );
    }
  }
}

/** Per-corner UVs of indexed ones: 2 × cornerCount, NaN where a corner has none. */
export function spreadUvs({ values, cornerIndices }: IndexedUvs): Float64Array {
  const cornerUvs = new Float64Array(2 * cornerIndices.length).fill(Number.NaN);
  for (let c = 0; c < cornerIndices.length; c++) {
    const i = cornerIndices[c]!;
    if (i < 0) continue;
    cornerUvs[2 * c] = values[2 * i]!;
    cornerUvs[2 * c + 1] = values[2 * i + 1]!;
  }
  return cornerUvs;
}

/**
 * Stores each UV once for each point that has it, in the order of first use: corners that share a point
 * and a UV share an index, so a chart's inner corners stay joined and nothing else is.
 *
 * @param decimals - UVs are rounded to this many decimals first, so that noise below it splits nothing
 */
export function indexUvs(
  cornerUvs: ArrayLike<number>,
  cornerPoints: ArrayLike<number>,
  decimals: number,
): IndexedUvs {
  const cornerCount = cornerPoints.length;
  const cornerIndices = new Int32Array(cornerCount).fill(-1);
  let pointCount = 0;
  for (let c = 0; c < cornerCount; c++) pointCount = Math.max(pointCount, cornerPoints[c]! + 1);
  const heads = new Int32Array(pointCount).fill(-1);
  const nexts = new Int32Array(cornerCount);
  const values = new Float64Array(2 * cornerCount);
  let count = 0;
  for (let c = 0; c < cornerCount; c++) {
    const u = roundDecimal(cornerUvs[2 * c]!, decimals);
    const v = roundDecimal(cornerUvs[2 * c + 1]!, decimals);
    if (Number.isNaN(u) || Number.isNaN(v)) continue;
    const point = cornerPoints[c]!;
    let i = heads[point]!;
    while (i >= 0 && (values[2 * i] !== u || values[2 * i + 1] !== v)) i = nexts[i]!;
    if (i < 0) {
      i = count++;
      values[2 * i] = u;
      values[2 * i + 1] = v;
      nexts[i] = heads[point]!;
      heads[point] = i;
    }
    cornerIndices[c] = i;
  }
  return { values: values.slice(0, 2 * count), cornerIndices };
}

/** The double nearest to `value` rounded to `decimals` decimals; never -0. */
export function roundDecimal(value: number, decimals: number): number {
  const power = 10 ** decimals;
  const scaled = Math.round(value * power);
  // Beyond 2^53 the value has no digits left to round.
  return Math.abs(scaled) <= Number.MAX_SAFE_INTEGER ? scaled / power + 0 : value;
}

/** @throws FORMAT_INVALID with the line number */
export function formatError(caller: string, line: number, problem: string): FormatError {
  return new FormatError('FORMAT_INVALID', `${caller}: line ${line}: ${problem}`, { line });
}
