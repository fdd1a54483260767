import type { Primitive } from '@gltf-transform/core';
import { FormatError } from '../../errors.js';

/** Vertices of the triangles of a primitive, three for each; undefined for points and lines. */
export function listTriangles(primitive: Primitive, caller: string): Int32Array | undefined {
  const positions = primitive.getAttribute('POSITION');
  const mode = primitive.getMode();
  if (!positions || mode < 4) return undefined;
  const vertexCount = positions.getCount();
  const indices = primitive.getIndices();
  const count = indices ? indices.getCount() : vertexCount;
  const sequence = new Int32Array(count);
  for (let i = 0; i < count; i++) {
    const vertex = indices ? indices.getScalar(i) : i;
    if (!(vertex >= 0 && vertex < vertexCount)) {
      throw new FormatError(
        'FORMAT_INVALID',
        `${caller}: a triangle names vertex ${vertex}, expected 0 to ${vertexCount - 1}`,
        { index: i },
      );
    }
    sequence[i] = vertex;
  }
  if (mode === 4) return sequence.subarray(0, count - (count % 3));
  const triangles = new Int32Array(3 * Math.max(0, count - 2));
  for (let i = 0; i + 2 < count; i++) {
    // glTF 2.0, 3.7.2.1: strips turn every other triangle, fans share their first vertex.
    const corners = mode === 5 ? [i, i + 1 + (i % 2), i + 2 - (i % 2)] : [i + 1, i + 2, 0];
    for (let k = 0; k < 3; k++) triangles[3 * i + k] = sequence[corners[k]!]!;
  }
  return triangles;
}

export const isDegenerate = (triangles: Int32Array, t: number): boolean => {
  const [a, b, c] = [triangles[3 * t]!, triangles[3 * t + 1]!, triangles[3 * t + 2]!];
  return a === b || b === c || c === a;
};
