import type { AxisFrame } from '../fields/index.js';
import { planarBounds } from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import type { CornerUvs } from './chart-outline.js';
import type { FlatChartLike } from './flat-chart.js';

/** Below this coherence a chart has no top of its own: its height rises towards both sides. */
const LEAST_COHERENCE = 0.35;
/** Charts this much longer than wide are stood along their axis. */
const STRIP_ASPECT = 1.8;
/** Strips whose axis leans more than this from the way up keep their way up (radians). */
const STRIP_LEAN = 0.6;

/**
 * Angles (radians, counter-clockwise) that stand each flat chart upright: its top, by the model's up axis,
 * towards +v. Long strips stand along their axis; a strip with no top of its own, such as a level arm,
 * has the end nearer to the model's middle on top. A mirror image is turned as the mirror image of its
 * original.
 */
export function findUprightAngles(
  mesh: Mesh,
  spread: CornerUvs,
  charts: readonly FlatChartLike[],
  frame: AxisFrame,
): Float64Array {
  const middle = findMiddle(mesh);
  const angles = charts.map((chart) => uprightAngle(mesh, spread, chart, frame, middle));
  const result = Float64Array.from(angles);
  charts.forEach(({ mirrorOf }, i) => {
    if (mirrorOf !== undefined && charts[mirrorOf] && isTurnedOver(charts[mirrorOf], charts[i]!))
      result[i] = -angles[mirrorOf]!;
  });
  return result;
}

/** Whether the UVs of one chart are those of the other with u negated (up to a shift). */
function isTurnedOver(a: FlatChartLike, b: FlatChartLike): boolean {
  const p = planarBounds(a.uvs);
  const q = planarBounds(b.uvs);
  const size = Math.max(p[2] - p[0], p[3] - p[1]);
  return (
    a.uvs.length === b.uvs.length &&
    Math.abs(p[2] - p[0] - (q[2] - q[0])) < 1e-6 * size &&
    Math.abs(p[3] - p[1] - (q[3] - q[1])) < 1e-6 * size &&
    Math.abs(meanOffset(a.uvs, 0, p) + meanOffset(b.uvs, 0, q)) < 1e-6 * size &&
    Math.abs(meanOffset(a.uvs, 1, p) - meanOffset(b.uvs, 1, q)) < 1e-6 * size
  );
}

/** Mean of one coordinate of all corners, from the middle of the bounds. */
function meanOffset(uvs: ArrayLike<number>, axis: 0 | 1, b: readonly number[]): number {
  let sum = 0;
  for (let k = axis; k < uvs.length; k += 2) sum += uvs[k]!;
  return sum / (uvs.length / 2) - (b[axis]! + b[axis + 2]!) / 2;
}

function findMiddle(mesh: Mesh): [number, number, number] {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (const p of mesh.vertexPoints) {
    for (let k = 0; k < 3; k++) {
      low[k] = Math.min(low[k]!, mesh.points[3 * p + k]!);
      high[k] = Math.max(high[k]!, mesh.points[3 * p + k]!);
    }
  }
  return [(low[0]! + high[0]!) / 2, (low[1]! + high[1]!) / 2, (low[2]! + high[2]!) / 2];
}

function uprightAngle(
  mesh: Mesh,
  { uvs }: CornerUvs,
  chart: FlatChartLike,
  { up }: AxisFrame,
  middle: readonly [number, number, number],
): number {
  // Integrals over the chart: gradient of height, of nearness to the middle, and second moments.
  let hx = 0;
  let hy = 0;
  let total = 0;
  let nx = 0;
  let ny = 0;
  let area = 0;
  let sx = 0;
  let sy = 0;
  let sxx = 0;
  let sxy = 0;
  let syy = 0;
  const { points, cornerPoints, faceOffsets, next } = mesh;
  const height = (c: number) => {
    const p = 3 * cornerPoints[c]!;
    return points[p]! * up[0] + points[p + 1]! * up[1] + points[p + 2]! * up[2];
  };
  const nearness = (c: number) => {
    const p = 3 * cornerPoints[c]!;
    return -Math.hypot(points[p]! - middle[0], points[p + 1]! - middle[1], points[p + 2]! - middle[2]);
  };
  for (let i = 0; i < chart.faces.length; i++) {
    const a = faceOffsets[chart.faces[i]!]!;
    for (let b = next[a]!, c = next[b]!; c !== a; b = c, c = next[c]!) {
      const ax = uvs[2 * a]!;
      const ay = uvs[2 * a + 1]!;
      const bx = uvs[2 * b]! - ax;
      const by = uvs[2 * b + 1]! - ay;
      const cx = uvs[2 * c]! - ax;
      const cy = uvs[2 * c + 1]! - ay;
      const size = (bx * cy - by * cx) / 2;
      // Area × gradient of a linear function with values 0, p and q at the corners.
      const hp = height(b) - height(a);
      const hq = height(c) - height(a);
      const gx = (hp * cy - hq * by) / 2;
      const gy = (hq * bx - hp * cx) / 2;
      hx += gx;
      hy += gy;
      // Signed, since a fan of a concave polygon has triangles turned over.
      total += Math.sign(size) * Math.hypot(gx, gy);
      const np = nearness(b) - nearness(a);
      const nq = nearness(c) - nearness(a);
      nx += (np * cy - nq * by) / 2;
      ny += (nq * bx - np * cx) / 2;
      const mx = ax + (bx + cx) / 3;
      const my = ay + (by + cy) / 3;
      area += size;
      sx += size * mx;
      sy += size * my;
      // Second moments of a triangle: area / 12 × (sum of the corners' + 9 × the centre's).
      const px = bx + ax;
      const py = by + ay;
      const qx = cx + ax;
      const qy = cy + ay;
      sxx += (size / 12) * (ax * ax + px * px + qx * qx + 9 * mx * mx);
      sxy += (size / 12) * (ax * ay + px * py + qx * qy + 9 * mx * my);
      syy += (size / 12) * (ay * ay + py * py + qy * qy + 9 * my * my);
    }
  }
  if (!(area > 0)) return 0;
  const vxx = sxx / area - (sx / area) ** 2;
  const vyy = syy / area - (sy / area) ** 2;
  const vxy = sxy / area - (sx * sy) / area ** 2;
  const spreadOut = Math.hypot((vxx - vyy) / 2, vxy);
  const mean = (vxx + vyy) / 2;
  const aspect = Math.sqrt((mean + spreadOut) / Math.max(mean - spreadOut, 1e-12 * mean));
  let axis = Math.atan2(vxy, (vxx - vyy) / 2) / 2;
  const hasTop = Math.hypot(hx, hy) >= LEAST_COHERENCE * total && total > 0;
  const top = hasTop ? Math.atan2(hy, hx) : Math.atan2(ny, nx);
  if (Math.cos(axis - top) < 0) axis += Math.PI;
  const lean = Math.acos(Math.min(1, Math.cos(axis - top)));
  const isStrip = aspect >= STRIP_ASPECT && (!hasTop || (chart.side !== 'centre' && lean <= STRIP_LEAN));
  return Math.PI / 2 - (isStrip ? axis : top);
}
