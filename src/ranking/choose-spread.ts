/** An entry this far below the best score counts for nothing beside others. */
const SCORE_REACH = 0.1;

/**
 * Picks entries that are good and differ from one another: the best score first, then each time the one with most to
 * offer that none of the picked has. What an entry offers beside another is the distance between them over the figures
 * in which it is better, each scaled to its range; it counts less the lower the score.
 *
 * @param figures - smaller is better
 * @returns indices, best score first; ties go to the earlier entry
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
  const gain = (i: number, j: number) =>
    Math.hypot(...ranges.map((range, k) => Math.max(0, figures[j]![k]! - figures[i]![k]!) / range));
  const byScore = scores.map((_, i) => i).sort((a, b) => scores[b]! - scores[a]! || a - b);
  const picked = byScore.slice(0, 1);
  while (picked.length < Math.min(count, scores.length)) {
    let best = -1;
    let most = -1;
    for (const i of byScore) {
      if (picked.includes(i)) continue;
      const standing = Math.max(1e-3, 1 - (scores[byScore[0]!]! - scores[i]!) / SCORE_REACH);
      const offer = Math.min(...picked.map((j) => gain(i, j))) * standing;
      if (offer > most) {
        best = i;
        most = offer;
      }
    }
    picked.push(best);
  }
  return picked.sort((a, b) => scores[b]! - scores[a]! || a - b);
}
