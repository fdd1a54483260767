import type { Marcher } from './march.js';
import type { TriangleSurface } from './triangle-surface.js';

/**
 * Mean distance along the surface from each vertex to all others (its maxima are the extremities), from
 * `sampleCount` samples spread by farthest-point choice and weighted by the area nearest to each
 * (average geodesic distance: Hilaga et al. 2001).
 */
export function computeMeanDistance(
  surface: TriangleSurface,
  marcher: Marcher,
  sampleCount: number,
): Float64Array {
  const { vertexCount, vertexAreas, positions } = surface;
  // The first sample is the vertex farthest from the area's centroid.
  const centre = [0, 0, 0];
  let area = 0;
  for (let v = 0; v < vertexCount; v++) {
    area += vertexAreas[v]!;
    for (let k = 0; k < 3; k++) centre[k]! += vertexAreas[v]! * positions[3 * v + k]!;
  }
  let start = 0;
  let reach = -1;
  for (let v = 0; v < vertexCount; v++) {
    let d = 0;
    for (let k = 0; k < 3; k++) d += (positions[3 * v + k]! - centre[k]! / area) ** 2;
    if (d > reach) {
      reach = d;
      start = v;
    }
  }
  const nearest = new Float64Array(vertexCount).fill(Infinity);
  const owners = new Int32Array(vertexCount);
  const fields: Float64Array[] = [];
  const samples: number[] = [];
  for (let next = start; samples.length < Math.min(sampleCount, vertexCount); ) {
    const distances = marcher.run([next]);
    for (let v = 0; v < vertexCount; v++)
      if (distances[v]! < nearest[v]!) {
        nearest[v] = distances[v]!;
        owners[v] = samples.length;
      }
    samples.push(next);
    fields.push(distances);
    let farthest = 0;
    for (let v = 0; v < vertexCount; v++)
      if (nearest[v]! > farthest) {
        farthest = nearest[v]!;
        next = v;
      }
    if (farthest === 0) break;
  }
  const weights = new Float64Array(samples.length);
  for (let v = 0; v < vertexCount; v++) weights[owners[v]!]! += vertexAreas[v]! / area;
  const field = new Float64Array(vertexCount);
  for (let v = 0; v < vertexCount; v++) {
    let sum = 0;
    for (let i = 0; i < samples.length; i++) sum += weights[i]! * fields[i]![v]!;
    field[v] = sum;
  }
  return field;
}
