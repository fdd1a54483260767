import type { QuadSurface } from './subdivide-cage.js';
import { limitChannels, numberEdges, subdivide } from './subdivide-cage.js';

/** Points on the smooth surface, `grid` × `grid` quads per cage face. */
export interface SampledSurface {
  readonly pointCount: number;
  /** Quads of cage face f are f·grid² + j·grid + i. */
  readonly quads: Int32Array;
  readonly channels: Float64Array;
  readonly grid: number;
}

/**
 * Splits every cage face into `grid` × `grid` quads on the smooth surface. Powers of two are exact; others
 * are read off a finer surface by bilinear interpolation (at 16 cells per cage face its error is under a
 * thousandth of a cell).
 */
export function sampleSurface(cage: QuadSurface, channelCount: number, grid: number): SampledSurface {
  const isPowerOfTwo = (grid & (grid - 1)) === 0;
  const fine = isPowerOfTwo ? grid : Math.max(16, 2 ** Math.ceil(Math.log2(grid)));
  let surface = cage;
  while (surface.grid < fine) surface = subdivide(surface, channelCount);
  const channels = limitChannels(surface, channelCount);
  if (isPowerOfTwo) return { pointCount: surface.pointCount, quads: surface.quads, channels, grid };
  return resample(cage, surface, channels, channelCount, grid);
}

function resample(
  cage: QuadSurface,
  fine: QuadSurface,
  fineChannels: Float64Array,
  channelCount: number,
  grid: number,
): SampledSurface {
  const cageFaces = cage.quads.length / 4;
  const inner = grid - 1;
  const edgeBase = cage.pointCount;
  const { edgeOf, edgeCount } = numberEdges(cage.twins);
  const faceBase = edgeBase + edgeCount * inner;
  const pointCount = faceBase + cageFaces * inner * inner;
  const channels = new Float64Array(pointCount * channelCount);
  const isSet = new Uint8Array(pointCount);
  const quads = new Int32Array(4 * cageFaces * grid * grid);
  const line = new Int32Array((grid + 1) * (grid + 1));
  for (let f = 0; f < cageFaces; f++) {
    for (let j = 0; j <= grid; j++)
      for (let i = 0; i <= grid; i++) {
        const point = pointAt(f, i, j);
        line[j * (grid + 1) + i] = point;
        if (!isSet[point]) {
          isSet[point] = 1;
          readPoint(f, (i * fine.grid) / grid, (j * fine.grid) / grid, point);
        }
      }
    for (let j = 0; j < grid; j++)
      for (let i = 0; i < grid; i++) {
        const a = j * (grid + 1) + i;
        quads.set(
          [line[a]!, line[a + 1]!, line[a + grid + 2]!, line[a + grid + 1]!],
          4 * (f * grid * grid + j * grid + i),
        );
      }
  }
  return { pointCount, quads, channels, grid };

  function pointAt(f: number, i: number, j: number): number {
    const onI = i === 0 || i === grid;
    const onJ = j === 0 || j === grid;
    if (onI && onJ) return cage.quads[4 * f + (j === 0 ? (i === 0 ? 0 : 1) : i === 0 ? 3 : 2)]!;
    if (onJ) return j === 0 ? edgePoint(4 * f, i) : edgePoint(4 * f + 2, grid - i);
    if (onI) return i === 0 ? edgePoint(4 * f + 3, grid - j) : edgePoint(4 * f + 1, j);
    return faceBase + f * inner * inner + (j - 1) * inner + (i - 1);
  }

  function edgePoint(corner: number, step: number): number {
    const isSecond = cage.twins[corner]! >= 0 && cage.twins[corner]! < corner;
    return edgeBase + edgeOf[corner]! * inner + (isSecond ? grid - step : step) - 1;
  }

  function readPoint(f: number, x: number, y: number, point: number): void {
    const n = fine.grid;
    const i = Math.min(n - 1, Math.floor(x));
    const j = Math.min(n - 1, Math.floor(y));
    const quad = 4 * (f * n * n + j * n + i);
    const u = x - i;
    const v = y - j;
    const shares = [(1 - u) * (1 - v), u * (1 - v), u * v, (1 - u) * v];
    for (let k = 0; k < 4; k++)
      for (let ch = 0; ch < channelCount; ch++)
        channels[point * channelCount + ch]! +=
          shares[k]! * fineChannels[fine.quads[quad + k]! * channelCount + ch]!;
  }
}
