import { InvalidOptionError } from '../errors.js';
import type { Mesh } from '../mesh/index.js';
import { computeFaceGeometry } from '../mesh/index.js';
import type { AxisOptions } from './axis-frame.js';
import { buildAxisFrame } from './axis-frame.js';
import { LayerView } from './layer-view.js';
import { sphereDirections } from './sphere-directions.js';

export interface ThicknessOptions extends AxisOptions {
  /**
   * Number of directions over the whole sphere, 16..1024; a face uses about a quarter of them.
   * @defaultValue 64
   */
  readonly directions?: number;
  /**
   * Width and height of the rasters in pixels, 32..2048.
   * @defaultValue 384
   */
  readonly resolution?: number;
}

export interface Thickness {
  /** Diameter of the body below each face, model units; Infinity where nothing lies opposite (a flat open patch). */
  readonly faceThickness: Float64Array;
}

export const THICKNESS_DEFAULTS = Object.freeze({ directions: 64, resolution: 384 });

/** Rays within 60° of the inward normal count. */
const CONE_COSINE = 0.5;
/** A face can be met by at most this many of them. */
const MAX_SAMPLES_SHARE = 0.5;

/**
 * Local thickness of the body: the median length of lines that run inwards from a face, within a cone round its
 * normal, to the far wall of the same shell (shape diameter; Shapira, Shamir & Cohen-Or 2008).
 *
 * Instead of casting rays, the mesh is drawn along a few dozen directions with all its layers kept, and each
 * face looks up the next wall behind it; so the cost hardly grows with the mesh. Accurate to a pixel or
 * two of the raster; faces missed take the mean of their neighbours.
 *
 * @throws OPTION_INVALID
 */
export function computeThickness(mesh: Mesh, options: ThicknessOptions = {}): Thickness {
  const frame = buildAxisFrame(options);
  const count = options.directions ?? THICKNESS_DEFAULTS.directions;
  const resolution = options.resolution ?? THICKNESS_DEFAULTS.resolution;
  checkRange('directions', count, 16, 1024);
  checkRange('resolution', resolution, 32, 2048);
  const axes = sphereDirections(count, frame);
  const { faceNormals } = computeFaceGeometry(mesh);
  const view = new LayerView(mesh, frame, resolution);
  const width = Math.ceil(2 * axes.length * MAX_SAMPLES_SHARE);
  const samples = new Float32Array(width * mesh.faceCount);
  const sampleCounts = new Uint16Array(mesh.faceCount);
  const { cornerVertices, faceOffsets, faceShells } = mesh;
  for (const direction of axes) {
    view.draw(direction);
    const { vertexX, vertexY, vertexDepths, pixelSize } = view;
    for (let f = 0; f < mesh.faceCount; f++) {
      const cosine =
        faceNormals[3 * f]! * direction[0] +
        faceNormals[3 * f + 1]! * direction[1] +
        faceNormals[3 * f + 2]! * direction[2];
      if (Math.abs(cosine) < CONE_COSINE || sampleCounts[f] === width) continue;
      const first = faceOffsets[f]!;
      const end = faceOffsets[f + 1]!;
      let x = 0;
      let y = 0;
      let depth = 0;
      for (let c = first; c < end; c++) {
        const v = cornerVertices[c]!;
        x += vertexX[v]!;
        y += vertexY[v]!;
        depth += vertexDepths[v]!;
      }
      const inverse = 1 / (end - first);
      const wall = findWall(
        view,
        Math.round(y * inverse) * resolution + Math.round(x * inverse),
        depth * inverse,
        cosine > 0,
        faceShells[f]!,
        1.5 * pixelSize,
      );
      if (wall >= 0) samples[width * f + sampleCounts[f]!++] = wall;
    }
  }
  const faceThickness = new Float64Array(mesh.faceCount).fill(Infinity);
  for (let f = 0; f < mesh.faceCount; f++) {
    const found = samples.subarray(width * f, width * f + sampleCounts[f]!).sort();
    const middle = found.length >> 1;
    if (found.length > 0)
      faceThickness[f] = found.length % 2 ? found[middle]! : (found[middle - 1]! + found[middle]!) / 2;
  }
  fillGaps(mesh, faceThickness);
  return { faceThickness };
}

/** Distance from a place to the next wall of its shell that is seen from inside, or -1. */
function findWall(
  view: LayerView,
  pixel: number,
  depth: number,
  isFacing: boolean,
  shell: number,
  tolerance: number,
): number {
  const { offsets, depths, sides } = view;
  const start = offsets[pixel]!;
  const end = offsets[pixel + 1]!;
  if (isFacing) {
    for (let i = start; i < end; i++)
      if (sides[i] === 2 * shell && depths[i]! < depth + tolerance) return Math.max(0, depth - depths[i]!);
  } else {
    for (let i = end - 1; i >= start; i--)
      if (sides[i] === 2 * shell + 1 && depths[i]! > depth - tolerance)
        return Math.max(0, depths[i]! - depth);
  }
  return -1;
}

/** Spreads values into faces without one, ring by ring, as the mean of the neighbours that have one. */
function fillGaps(mesh: Mesh, values: Float64Array): void {
  let gaps: number[] = [];
  for (let f = 0; f < mesh.faceCount; f++) if (values[f] === Infinity) gaps.push(f);
  while (gaps.length > 0) {
    const means = gaps.map((f) => {
      let sum = 0;
      let count = 0;
      for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++) {
        const t = mesh.twin[h]!;
        const value = t < 0 ? Infinity : values[mesh.cornerFaces[t]!]!;
        if (value === Infinity) continue;
        sum += value;
        count++;
      }
      return count > 0 ? sum / count : Infinity;
    });
    gaps.forEach((f, i) => {
      values[f] = means[i]!;
    });
    const left = gaps.filter((f) => values[f] === Infinity);
    if (left.length === gaps.length) return;
    gaps = left;
  }
}

function checkRange(name: string, value: number, low: number, high: number): void {
  if (!(Number.isInteger(value) && value >= low && value <= high)) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `computeThickness: ${name} out of range, got ${value}, expected a whole number ${low}..${high}`,
      { [name]: value },
    );
  }
}
