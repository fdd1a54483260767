import type { Candidate } from './branch-search.js';
import { BranchSearch } from './branch-search.js';
import type { BranchTree } from './branch-tree.js';
import type { Marcher } from './march.js';
import { computeMeanDistance } from './mean-distance.js';
import type { Sweep } from './sweeps.js';
import { prepareSweeps } from './sweeps.js';
import type { TriangleSurface } from './triangle-surface.js';

const SAMPLES = 24;
const ROUNDS = 12;
/** Within a round no piece is larger than this many times the smallest. */
const ROUND_RANGE = 4;
/** Two candidates are the same piece when the larger is within this factor and they share most of their surface. */
const ALIKE = 1.3;

/**
 * Takes a shell apart from its tips inwards: in each round the smallest pieces that end in a base of their
 * own are taken off, then what is left is searched again, so fingers go before arms.
 *
 * A dozen rounds over a few dozen sweeps; linear in the size of the surface.
 */
export function findBranches(surface: TriangleSurface, marcher: Marcher): BranchTree {
  const field = computeMeanDistance(surface, marcher, SAMPLES);
  const sweeps = prepareSweeps(surface, marcher, field, Math.sqrt(surface.area));
  const search = new BranchSearch(surface, sweeps);
  // Of nearly equal pieces, the one seen from most tips, then from the farthest tip, is cut the straightest.
  const isBetter = (a: Sweep, b: Sweep) =>
    a.tipCount !== b.tipCount ? a.tipCount > b.tipCount : field[a.tip]! > field[b.tip]!;

  for (let round = 0; round < ROUNDS; round++) {
    const candidates = sweeps.flatMap((sweep) => (sweep.isAlive ? (search.search(sweep) ?? []) : []));
    candidates.sort((a, b) => a.area - b.area || a.sweep.tip - b.sweep.tip);
    const isTaken = new Uint8Array(surface.triangleCount);
    let taken = 0;
    for (const candidate of candidates) {
      // Pieces of one size go together: a leg taken early would leave the other one's front nothing to spread on.
      if (candidate.area > ROUND_RANGE * candidates[0]!.area && taken > 0) break;
      if (isMostlyTaken(surface, candidate, isTaken)) continue;
      let best = candidate;
      for (const other of candidates) {
        if (other.area > ALIKE * candidate.area || !isBetter(other.sweep, best.sweep)) continue;
        if (isMostlyTaken(surface, other, isTaken)) continue;
        if (sharedArea(surface, candidate.triangles, other.triangles) > 0.7 * candidate.area) best = other;
      }
      // Others of this round may have changed what it encloses.
      const fresh = search.enclose(best.sweep, best.base, best.profile);
      if (!fresh) continue;
      for (const t of fresh.triangles) isTaken[t] = 1;
      search.add(fresh);
      taken++;
    }
    if (taken === 0) break;
  }
  return search.finish();
}

/** Whether a good part of a candidate has been taken since it was found. */
function isMostlyTaken(
  { triangleAreas }: TriangleSurface,
  { triangles }: Candidate,
  isTaken: Uint8Array,
): boolean {
  let taken = 0;
  let all = 0;
  for (const t of triangles) {
    all += triangleAreas[t]!;
    if (isTaken[t]) taken += triangleAreas[t]!;
  }
  return taken > 0.1 * all;
}

function sharedArea(
  { triangleAreas, triangleCount }: TriangleSurface,
  a: readonly number[],
  b: readonly number[],
): number {
  const inA = new Uint8Array(triangleCount);
  for (const t of a) inA[t] = 1;
  let area = 0;
  for (const t of b) if (inA[t]) area += triangleAreas[t]!;
  return area;
}
