import { InvalidMeshError } from '../errors.js';
import type { RestTriangles } from '../flattening/index.js';
import { buildRestTriangles } from '../flattening/index.js';
import type { ChartSurface } from '../mesh/index.js';
import type { ChartDistortion } from './chart-distortion.js';
import type { TriangleStretch } from './triangle-stretch.js';
import { measureTriangles, RATIO_LIMIT } from './triangle-stretch.js';

/** σ2 below this share of σ1 makes a triangle degenerate. */
const DEGENERATE_RATIO = 1e-9;

/**
 * Measures the distortion of a chart's UVs. Polygons count by the mean over all their fan triangulations,
 * so the first corner has no say. Linear in the size of the chart.
 *
 * @param uvs - uv of each local vertex, 2 × vertexCount
 * @throws UV_INVALID when the array has another length or a number is not finite
 *
 * @example
 * measureChart(surface, flattenChart(surface).uvs).energy; // 4 for a developable chart
 */
export function measureChart(surface: ChartSurface, uvs: ArrayLike<number>): ChartDistortion {
  checkUvs(uvs, 2 * surface.vertexCount);
  const rest = buildRestTriangles(surface);
  return summarise(surface, rest, uvs, measureTriangles(rest, uvs));
}

function checkUvs(uvs: ArrayLike<number>, expected: number): void {
  if (uvs.length !== expected) {
    throw new InvalidMeshError(
      'UV_INVALID',
      `measureChart: wrong number of UV values, got ${uvs.length}, expected ${expected}`,
    );
  }
  for (let i = 0; i < uvs.length; i++) {
    if (!Number.isFinite(uvs[i]!)) {
      throw new InvalidMeshError(
        'UV_INVALID',
        `measureChart: UV value ${i} is not finite, got ${uvs[i]}, expected a number`,
        { index: i },
      );
    }
  }
}

function summarise(
  surface: ChartSurface,
  rest: RestTriangles,
  uvs: ArrayLike<number>,
  stretch: TriangleStretch,
): ChartDistortion {
  const { sigma1, sigma2, determinants } = stretch;
  const { weights, triangleCount, unit } = rest;
  const surfaceArea = unit * unit;
  const uvArea = signedArea(surface, uvs);
  const isMirrored = uvArea < 0;
  // Linear scale of a map that spread the same UV area evenly.
  let coveredShare = 0;
  for (let t = 0; t < triangleCount; t++) coveredShare += weights[t]! * Math.abs(determinants[t]!);
  const evenScale = Math.sqrt(coveredShare);
  let squares = 0;
  let inverseSquares = 0;
  let stretchLinf = 0;
  let quasiConformal = 0;
  let areaError = 0;
  for (let t = 0; t < triangleCount; t++) {
    const w = weights[t]!;
    const s1 = Math.max(sigma1[t]!, 1e-12 * evenScale);
    const s2 = Math.max(sigma2[t]!, s1 / RATIO_LIMIT);
    squares += w * (s1 * s1 + s2 * s2);
    inverseSquares += w * (1 / (s1 * s1) + 1 / (s2 * s2));
    if (!rest.isReplaced[t]) stretchLinf = Math.max(stretchLinf, evenScale / s2);
    quasiConformal += (w * s1) / s2;
    const ratio = (s1 * s2) / coveredShare;
    areaError += w * Math.max(ratio, 1 / ratio);
  }
  return {
    surfaceArea,
    uvArea,
    energy: 2 * Math.sqrt(squares * inverseSquares),
    energyAsGiven: squares + inverseSquares,
    bestScale: (inverseSquares / squares) ** 0.25,
    stretchL2: evenScale * Math.sqrt(inverseSquares / 2),
    stretchLinf,
    quasiConformal,
    areaError,
    angleError: meanAngleError(rest, uvs),
    ...judgeFaces(surface, rest, stretch, isMirrored),
    isMirrored,
    ...averageOverFaces(surface, rest, stretch),
  };
}

function signedArea(surface: ChartSurface, uvs: ArrayLike<number>): number {
  const { faceOffsets, cornerVertices } = surface;
  let twice = 0;
  for (let f = 0; f < surface.faces.length; f++) {
    const first = faceOffsets[f]!;
    const end = faceOffsets[f + 1]!;
    const o = 2 * cornerVertices[first]!;
    for (let c = first + 1; c + 1 < end; c++) {
      const a = 2 * cornerVertices[c]!;
      const b = 2 * cornerVertices[c + 1]!;
      twice +=
        (uvs[a]! - uvs[o]!) * (uvs[b + 1]! - uvs[o + 1]!) - (uvs[a + 1]! - uvs[o + 1]!) * (uvs[b]! - uvs[o]!);
    }
  }
  return twice / 2;
}

function judgeFaces(
  surface: ChartSurface,
  rest: RestTriangles,
  { sigma1, sigma2, determinants }: TriangleStretch,
  isMirrored: boolean,
): Pick<ChartDistortion, 'flippedFaces' | 'degenerateFaces'> {
  const sign = isMirrored ? -1 : 1;
  const isFlipped = new Uint8Array(surface.faces.length);
  const isDegenerate = new Uint8Array(surface.faces.length);
  for (let t = 0; t < rest.triangleCount; t++) {
    // A triangle that turns against its own polygon in space says nothing about the flattened one.
    if (rest.isReflex[t]) continue;
    const f = rest.triangleFaces[t]!;
    if (sign * determinants[t]! < 0 && sigma2[t]! >= DEGENERATE_RATIO * sigma1[t]!) isFlipped[f] = 1;
    else if (!rest.isReplaced[t] && sigma2[t]! < DEGENERATE_RATIO * sigma1[t]!) isDegenerate[f] = 1;
    else if (sigma1[t] === 0) isDegenerate[f] = 1;
  }
  const listed = (flags: Uint8Array) => Array.from(flags.keys()).filter((f) => flags[f] === 1);
  return { flippedFaces: listed(isFlipped), degenerateFaces: listed(isDegenerate) };
}

function averageOverFaces(
  surface: ChartSurface,
  rest: RestTriangles,
  { sigma1, sigma2 }: TriangleStretch,
): Pick<ChartDistortion, 'faceSigma1' | 'faceSigma2' | 'faceAreas'> {
  const faceCount = surface.faces.length;
  const faceSigma1 = new Float64Array(faceCount);
  const faceSigma2 = new Float64Array(faceCount);
  const faceAreas = new Float64Array(faceCount);
  for (let t = 0; t < rest.triangleCount; t++) {
    const f = rest.triangleFaces[t]!;
    faceSigma1[f]! += rest.weights[t]! * sigma1[t]! ** 2;
    faceSigma2[f]! += rest.weights[t]! * sigma2[t]! ** 2;
    faceAreas[f]! += rest.weights[t]!;
  }
  for (let f = 0; f < faceCount; f++) {
    faceSigma1[f] = Math.sqrt(faceSigma1[f]! / faceAreas[f]!);
    faceSigma2[f] = Math.sqrt(faceSigma2[f]! / faceAreas[f]!);
    faceAreas[f]! *= rest.unit * rest.unit;
  }
  return { faceSigma1, faceSigma2, faceAreas };
}

function meanAngleError(rest: RestTriangles, uvs: ArrayLike<number>): number {
  const { inverses, triangleVertices, weights } = rest;
  let sum = 0;
  for (let t = 0; t < rest.triangleCount; t++) {
    const base = 1 / inverses[3 * t]!;
    const height = 1 / inverses[3 * t + 2]!;
    const x = -inverses[3 * t + 1]! * base * height;
    const atRest = [Math.atan2(height, x), Math.atan2(height, base - x)];
    const p = [0, 1, 2].map((k) => 2 * triangleVertices[3 * t + k]!) as [number, number, number];
    const angle = (i: number, j: number, k: number) => {
      const ux = uvs[p[j]!]! - uvs[p[i]!]!;
      const uy = uvs[p[j]! + 1]! - uvs[p[i]! + 1]!;
      const vx = uvs[p[k]!]! - uvs[p[i]!]!;
      const vy = uvs[p[k]! + 1]! - uvs[p[i]! + 1]!;
      return Math.atan2(Math.abs(ux * vy - uy * vx), ux * vx + uy * vy);
    };
    const e0 = angle(0, 1, 2) - atRest[0]!;
    const e1 = angle(1, 2, 0) - atRest[1]!;
    sum += weights[t]! * Math.max(Math.abs(e0), Math.abs(e1), Math.abs(e0 + e1));
  }
  return sum;
}
