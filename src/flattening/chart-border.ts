import { NumericalError } from '../errors.js';
import type { ChartSurface } from '../mesh/index.js';

/** The border of a chart that is a disk. @throws CHART_NOT_DISK */
export function requireDisk(surface: ChartSurface): Int32Array {
  const { faceOffsets, cornerVertices, vertexCount } = surface;
  const sides = new Set<number>();
  for (let f = 0; f < surface.faces.length; f++) {
    for (let c = faceOffsets[f]!; c < faceOffsets[f + 1]!; c++) {
      const a = cornerVertices[c]!;
      const b = cornerVertices[c + 1 === faceOffsets[f + 1]! ? faceOffsets[f]! : c + 1]!;
      sides.add(Math.min(a, b) * vertexCount + Math.max(a, b));
    }
  }
  const eulerCharacteristic = vertexCount - sides.size + surface.faces.length;
  const loops = surface.borderLoops;
  if (loops.length !== 1 || eulerCharacteristic !== 1) {
    throw new NumericalError(
      'CHART_NOT_DISK',
      `flattenChart: the chart is not a disk, got ${loops.length} border loops and Euler characteristic ${eulerCharacteristic}, expected 1 and 1`,
      { borderLoops: loops.length, eulerCharacteristic },
    );
  }
  if (loops[0]!.length < 3) {
    throw new NumericalError(
      'CHART_NOT_DISK',
      `flattenChart: the border has too few sides to enclose anything, got ${loops[0]!.length}, expected 3 or more`,
      { borderLength: loops[0]!.length },
    );
  }
  return loops[0]!;
}

/** uv of the border's vertices in order, 2 × border.length. */
export function outlineOf(border: Int32Array, uvs: Float64Array): Float64Array {
  const outline = new Float64Array(2 * border.length);
  border.forEach((v, i) => {
    outline[2 * i] = uvs[2 * v]!;
    outline[2 * i + 1] = uvs[2 * v + 1]!;
  });
  return outline;
}

/** Local faces that have one of the border's sides, ascending. */
export function facesAtSides(surface: ChartSurface, border: Int32Array, sides: readonly number[]): number[] {
  if (sides.length === 0) return [];
  const { faceOffsets, cornerVertices, vertexCount } = surface;
  const keys = new Set(sides.map((i) => border[i]! * vertexCount + border[(i + 1) % border.length]!));
  const faces: number[] = [];
  for (let f = 0; f < surface.faces.length; f++) {
    const first = faceOffsets[f]!;
    const end = faceOffsets[f + 1]!;
    for (let c = first; c < end; c++) {
      const a = cornerVertices[c]!;
      const b = cornerVertices[c + 1 === end ? first : c + 1]!;
      if (!keys.has(a * vertexCount + b)) continue;
      faces.push(f);
      break;
    }
  }
  return faces;
}
