/**
 * Chessboard distance from the origin to the segment from (ax, ay) to (bx, by); any number at or above
 * `enough` may be returned for segments that far off.
 */
export function squareDistance(ax: number, ay: number, bx: number, by: number, enough: number): number {
  if (ax >= enough && bx >= enough) return enough;
  if (ay >= enough && by >= enough) return enough;
  if (ax <= -enough && bx <= -enough) return enough;
  if (ay <= -enough && by <= -enough) return enough;
  const dx = bx - ax;
  const dy = by - ay;
  let least = Math.min(Math.max(Math.abs(ax), Math.abs(ay)), Math.max(Math.abs(bx), Math.abs(by)));
  // The larger of two distances is least at an end, where one of them is 0, or where both are equal.
  for (let k = 0; k < 4; k++) {
    const p = k === 0 ? ax : k === 1 ? ay : k === 2 ? ax - ay : ax + ay;
    const q = k === 0 ? dx : k === 1 ? dy : k === 2 ? dx - dy : dx + dy;
    const t = -p / q;
    if (t > 0 && t < 1) least = Math.min(least, Math.max(Math.abs(ax + t * dx), Math.abs(ay + t * dy)));
  }
  return least;
}
