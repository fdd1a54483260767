/** An entry this far below the best score counts for nothing beside others. */
const SCORE_REACH = 0.1;

/**
 * Picks entries that are good and differ from one another: the best score first, then each time the one farthest
 * from all picked, with figures scaled to their range and distance counting less the lower the score. Returns indices, best score first; ties go to the earlier entry.
 */
export function chooseSpread(
  scores: readonly number[],
  figures: readonly (readonly number[])[],
  count: number,
): number[] {
  const ranges = (figures[0] ?? []).map((_, k) => {
    const column = figures.map((row) => row[k]!);
    return Math.max(...column) - Math.min(...column) || 1;
  });
  const distance = (i: number, j: number) =>
    Math.hypot(...ranges.map((range, k) => (figures[i]![k]! - figures[j]![k]!) / range));
  const byScore = scores.map((_, i) => i).sort((a, b) => scores[b]! - scores[a]! || a - b);
  const picked = byScore.slice(0, 1);
  while (picked.length < Math.min(count, scores.length)) {
    let best = -1;
    let bestDistance = -1;
    for (const i of byScore) {
      if (picked.includes(i)) continue;
      const standing = Math.max(1e-3, 1 - (scores[byScore[0]!]! - scores[i]!) / SCORE_REACH);
      const nearest = Math.min(...picked.map((j) => distance(i, j))) * standing;
      if (nearest > bestDistance) {
        best = i;
        bestDistance = nearest;
      }
    }
    picked.push(best);
  }
  return picked.sort((a, b) => scores[b]! - scores[a]! || a - b);
}
