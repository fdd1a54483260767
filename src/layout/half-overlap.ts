import type { OverlapShape } from './overlap-shape.js';
import { SPACING } from './overlap-shape.js';

/** Largest ratio of a square's reach to half its side. */
export const DIAGONAL = Math.SQRT2;

/** How two pieces lie: the cosine and sine of each one's turn, and the way from b's centre to a's. */
export interface PairView {
  ca: number;
  sa: number;
  cb: number;
  sb: number;
  wx: number;
  wy: number;
  /** Samples looked up so far. */
  workCount: number;
}

/** Where the sums of a pair are kept: `SUM_COUNT` numbers each. */
export const SUM = {
  /** Length of border × missing², summed. */
  cost: 0,
  /** The most that is missing anywhere. */
  worst: 1,
  /** Length × missing × its change as the first piece moves along x and y and turns, and as the second turns. */
  right: 2,
  /** Length × products of two of those changes: xx, xy, yy, xa, ya, aa, xb, yb, ab, bb. */
  products: 6,
} as const;
export const SUM_COUNT = 16;

/**
 * Length of a's border × what is missing there to the gutter of b, summed; cut short where the sum comes to
 * the limit. Nodes are looked up along the border in strides as long as the distance found allows.
 *
 * @param thinning - every so many samples stand for all
 */
export function halfCost(
  a: OverlapShape,
  b: OverlapShape,
  view: PairView,
  { gutter, limit, thinning }: { gutter: number; limit: number; thinning: number },
): number {
  const { ca, sa, cb, sb, wx, wy } = view;
  const c = cb * ca + sb * sa;
  const s = cb * sa - sb * ca;
  const { samples, loopOffsets } = a;
  const { values, width } = b;
  const right = width - 1;
  const top = b.height - 1;
  const dx = cb * wx + sb * wy - b.x0;
  const dy = cb * wy - sb * wx - b.y0;
  const reach = DIAGONAL * gutter;
  const far = reach + DIAGONAL;
  const most = limit / thinning;
  const stride = 3 * thinning;
  let cost = 0;
  let work = 0;
  for (let l = 0; l + 1 < loopOffsets.length && cost < most; l++) {
    const end = 3 * loopOffsets[l + 1]!;
    for (let k = 3 * loopOffsets[l]!; k < end && cost < most; k += stride) {
      work++;
      const sx = samples[k]!;
      const sy = samples[k + 1]!;
      const fx = c * sx - s * sy + dx;
      const fy = s * sx + c * sy + dy;
      if (!(fx >= 0 && fy >= 0 && fx < right && fy < top)) {
        const free = Math.max(-fx, -fy, fx - right, fy - top);
        if (free > thinning * SPACING) k += 3 * ((free / SPACING) | 0) - stride + 3;
        continue;
      }
      const ix = fx | 0;
      const iy = fy | 0;
      const o = iy * width + ix;
      const v00 = values[o]!;
      if (v00 >= far) {
        const free = v00 - far;
        if (free > thinning * SPACING) k += 3 * ((free / SPACING) | 0) - stride + 3;
        continue;
      }
      const u = fx - ix;
      const v = fy - iy;
      const v01 = values[o + width]!;
      const e0 = values[o + 1]! - v00;
      const e1 = values[o + width + 1]! - v01;
      const distance = v00 + u * e0 + v * (v01 + u * e1 - v00 - u * e0);
      if (distance >= reach) continue;
      const gx = e0 + v * (e1 - e0);
      const gy = v01 - v00 + u * (e1 - e0);
      // The gutter is a square, so its reach depends on the direction that parts the two.
      const spread = Math.abs(cb * gx - sb * gy) + Math.abs(sb * gx + cb * gy);
      const missing = gutter * Math.min(Math.max(spread, 1), DIAGONAL) - distance;
      if (missing > 0) cost += missing * samples[k + 2]!;
    }
  }
  view.workCount += work;
  return cost * thinning;
}

/**
 * Adds the sums along a's border to those of the pair at `at`: squares of what is missing, and how it changes
 * as the pair's first piece moves and both turn. The first piece is a, or b when reversed.
 */
export function addHalf(
  a: OverlapShape,
  b: OverlapShape,
  view: PairView,
  { gutter, isReversed }: { gutter: number; isReversed: boolean },
  sums: Float64Array,
  at: number,
): void {
  const { ca, sa, cb, sb, wx, wy } = view;
  const c = cb * ca + sb * sa;
  const s = cb * sa - sb * ca;
  const { samples, loopOffsets } = a;
  const { values, width } = b;
  const right = width - 1;
  const top = b.height - 1;
  const ox = cb * wx + sb * wy;
  const oy = cb * wy - sb * wx;
  const dx = ox - b.x0;
  const dy = oy - b.y0;
  const reach = DIAGONAL * gutter;
  const far = reach + DIAGONAL;
  let work = 0;
  let cost = 0;
  let worst = 0;
  let rx = 0;
  let ry = 0;
  let ra = 0;
  let rb = 0;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  let xa = 0;
  let ya = 0;
  let aa = 0;
  let xb = 0;
  let yb = 0;
  let ab = 0;
  let bb = 0;
  for (let l = 0; l + 1 < loopOffsets.length; l++) {
    const end = 3 * loopOffsets[l + 1]!;
    for (let k = 3 * loopOffsets[l]!; k < end; k += 3) {
      work++;
      const sx = samples[k]!;
      const sy = samples[k + 1]!;
      const px = c * sx - s * sy;
      const py = s * sx + c * sy;
      const fx = px + dx;
      const fy = py + dy;
      if (!(fx >= 0 && fy >= 0 && fx < right && fy < top)) {
        k += 3 * ((Math.max(-fx, -fy, fx - right, fy - top) / SPACING) | 0);
        continue;
      }
      const ix = fx | 0;
      const iy = fy | 0;
      const o = iy * width + ix;
      const v00 = values[o]!;
      if (v00 >= far) {
        k += 3 * (((v00 - far) / SPACING) | 0);
        continue;
      }
      const u = fx - ix;
      const v = fy - iy;
      const v01 = values[o + width]!;
      const e0 = values[o + 1]! - v00;
      const e1 = values[o + width + 1]! - v01;
      const distance = v00 + u * e0 + v * (v01 + u * e1 - v00 - u * e0);
      if (distance >= reach) continue;
      const gx = e0 + v * (e1 - e0);
      const gy = v01 - v00 + u * (e1 - e0);
      const nx = cb * gx - sb * gy;
      const ny = sb * gx + cb * gy;
      const missing = gutter * Math.min(Math.max(Math.abs(nx) + Math.abs(ny), 1), DIAGONAL) - distance;
      if (missing <= 0) continue;
      const length = samples[k + 2]!;
      // A turn's arm is the same in b's frame.
      const ta = gy * px - gx * py;
      const tb = gx * (py + oy) - gy * (px + ox);
      const lm = length * missing;
      cost += lm * missing;
      if (missing > worst) worst = missing;
      rx += lm * nx;
      ry += lm * ny;
      ra += lm * ta;
      rb += lm * tb;
      const lx = length * nx;
      const ly = length * ny;
      const la = length * ta;
      const lb = length * tb;
      xx += lx * nx;
      xy += lx * ny;
      yy += ly * ny;
      xa += lx * ta;
      ya += ly * ta;
      aa += la * ta;
      xb += lx * tb;
      yb += ly * tb;
      ab += la * tb;
      bb += lb * tb;
    }
  }
  view.workCount += work;
  if (cost === 0) return;
  sums[at + 1] = Math.max(sums[at + 1]!, worst);
  const all = isReversed
    ? [-rx, -ry, rb, ra, xx, xy, yy, -xb, -yb, bb, -xa, -ya, ab, aa]
    : [rx, ry, ra, rb, xx, xy, yy, xa, ya, aa, xb, yb, ab, bb];
  sums[at]! += cost;
  for (let k = 0; k < 14; k++) sums[at + 2 + k]! += all[k]!;
}
