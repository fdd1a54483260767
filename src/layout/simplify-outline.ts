import type { Piece } from './piece.js';

/** A piece with the outline points dropped that lie within the tolerance of their neighbours' line (Douglas & Peucker 1973). */
export function simplifyPiece(piece: Piece, tolerance: number): Piece {
  const kept: number[] = [];
  const loopOffsets = new Int32Array(piece.loopOffsets.length);
  for (let l = 0; l + 1 < piece.loopOffsets.length; l++) {
    for (const k of simplifyLoop(piece.points, piece.loopOffsets[l]!, piece.loopOffsets[l + 1]!, tolerance))
      kept.push(k);
    loopOffsets[l + 1] = kept.length;
  }
  const points = new Float64Array(2 * kept.length);
  for (let i = 0; i < kept.length; i++) {
    points[2 * i] = piece.points[2 * kept[i]!]!;
    points[2 * i + 1] = piece.points[2 * kept[i]! + 1]!;
  }
  return { ...piece, points, loopOffsets };
}

function simplifyLoop(points: Float64Array, first: number, end: number, tolerance: number): number[] {
  const n = end - first;
  if (n <= 4) return Array.from({ length: n }, (_, k) => first + k);
  let far = 0;
  let farDistance = -1;
  for (let k = 1; k < n; k++) {
    const d = Math.hypot(
      points[2 * (first + k)]! - points[2 * first]!,
      points[2 * (first + k) + 1]! - points[2 * first + 1]!,
    );
    if (d > farDistance) {
      farDistance = d;
      far = k;
    }
  }
  const isKept = new Uint8Array(n + 1);
  isKept[0] = isKept[far] = 1;
  const stack = [0, far, far, n];
  while (stack.length > 0) {
    const b = stack.pop()!;
    const a = stack.pop()!;
    const pa = 2 * (first + a);
    const pb = 2 * (first + (b % n));
    let worst = tolerance;
    let split = -1;
    for (let k = a + 1; k < b; k++) {
      const d = segmentDistance(points, 2 * (first + k), pa, pb);
      if (d > worst) {
        worst = d;
        split = k;
      }
    }
    if (split < 0) continue;
    isKept[split] = 1;
    stack.push(a, split, split, b);
  }
  const kept: number[] = [];
  for (let k = 0; k < n; k++) if (isKept[k]) kept.push(first + k);
  return kept;
}

function segmentDistance(points: Float64Array, p: number, a: number, b: number): number {
  const ex = points[b]! - points[a]!;
  const ey = points[b + 1]! - points[a + 1]!;
  const dx = points[p]! - points[a]!;
  const dy = points[p + 1]! - points[a + 1]!;
  const length = ex * ex + ey * ey;
  const t = length > 0 ? Math.min(1, Math.max(0, (dx * ex + dy * ey) / length)) : 0;
  return Math.hypot(dx - t * ex, dy - t * ey);
}
