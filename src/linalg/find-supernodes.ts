/** Which columns are stored together as one dense block. */
export interface SupernodeForest {
  readonly count: number;
  /** Supernode of each column, in the numbering given; supernodes are numbered children first. */
  readonly columnSupernodes: Int32Array;
  /** Parent of each supernode, or -1. */
  readonly parents: Int32Array;
}

/** A merge into the parent is accepted up to a width when the zeros stored stay under a share of the block. */
export interface RelaxRule {
  readonly width: number;
  readonly zeroShare: number;
}

/** Measured on the Laplacian and conformal systems of bench/linalg; wide blocks pay for some zeros. */
export const RELAX_RULES: readonly RelaxRule[] = Object.freeze([
  { width: 2, zeroShare: 1 },
  { width: 8, zeroShare: 0.5 },
  { width: 32, zeroShare: 0.1 },
  { width: Number.POSITIVE_INFINITY, zeroShare: 0.02 },
]);

/**
 * Groups columns into supernodes: first columns in a chain that share their rows, then children merged
 * into their parents where that stores few zeros.
 *
 * @param parents - elimination tree, postordered
 * @param counts - entries of every column with the diagonal, weighted
 * @param weights - unknowns that each column stands for
 *
 * Reference: Ashcraft & Grimes, "The influence of relaxed supernode partitions on the multifrontal
 * method", ACM Trans. Math. Softw. 15(4), 1989.
 */
export function findSupernodes(
  parents: Int32Array,
  counts: Int32Array,
  weights: Int32Array,
  rules: readonly RelaxRule[] = RELAX_RULES,
): SupernodeForest {
  const size = parents.length;
  const { firsts, count } = findChains(parents, counts, weights);
  const columnChains = new Int32Array(size);
  for (let s = 0; s < count; s++) columnChains.fill(s, firsts[s]!, firsts[s + 1]!);
  const widths = new Float64Array(count);
  const below = new Int32Array(count);
  const zeros = new Float64Array(count);
  const chainParents = new Int32Array(count);
  for (let s = 0; s < count; s++) {
    const last = firsts[s + 1]! - 1;
    for (let j = firsts[s]!; j <= last; j++) widths[s]! += weights[j]!;
    below[s] = counts[last]! - weights[last]!;
    chainParents[s] = parents[last]! < 0 ? -1 : columnChains[parents[last]!]!;
  }
  const merged = mergeChildren(chainParents, { widths, below, zeros }, rules);
  const columnSupernodes = new Int32Array(size);
  for (let j = 0; j < size; j++) columnSupernodes[j] = merged.labels[columnChains[j]!]!;
  return { count: merged.count, columnSupernodes, parents: merged.parents };
}

/** Runs of columns j, j+1 … where each is the only child of the next and hands on all its rows. */
function findChains(
  parents: Int32Array,
  counts: Int32Array,
  weights: Int32Array,
): { firsts: Int32Array; count: number } {
  const size = parents.length;
  const childCounts = new Int32Array(size);
  for (const parent of parents) if (parent >= 0) childCounts[parent]!++;
  const firsts = new Int32Array(size + 1);
  let count = 0;
  for (let j = 0; j < size; j++) {
    const isChained =
      j > 0 && parents[j - 1] === j && counts[j] === counts[j - 1]! - weights[j - 1]! && childCounts[j] === 1;
    if (!isChained) firsts[count++] = j;
  }
  firsts[count] = size;
  return { firsts, count };
}

interface BlockSizes {
  readonly widths: Float64Array;
  /** Rows under the diagonal block. */
  readonly below: Int32Array;
  /** Zeros stored so far. */
  readonly zeros: Float64Array;
}

function mergeChildren(
  parents: Int32Array,
  sizes: BlockSizes,
  rules: readonly RelaxRule[],
): { labels: Int32Array; count: number; parents: Int32Array } {
  const count = parents.length;
  const { widths, below, zeros } = sizes;
  const firstChild = new Int32Array(count).fill(-1);
  const nextSibling = new Int32Array(count).fill(-1);
  for (let s = 0; s < count; s++) {
    if (parents[s]! < 0) continue;
    nextSibling[s] = firstChild[parents[s]!]!;
    firstChild[parents[s]!] = s;
  }
  // The representative of a merged supernode is its topmost chain.
  const representatives = new Int32Array(count);
  for (let s = 0; s < count; s++) representatives[s] = s;
  const candidates: number[] = [];
  for (let s = 0; s < count; s++) {
    candidates.length = 0;
    for (let c = firstChild[s]!; c >= 0; c = nextSibling[c]!) candidates.push(c);
    // The child whose rows fill the parent's best first: widest rows, then lowest number.
    candidates.sort((a, b) => below[b]! - below[a]! || a - b);
    for (const c of candidates) {
      const width = widths[c]! + widths[s]!;
      const newZeros = zeros[c]! + zeros[s]! + widths[c]! * (widths[s]! + below[s]! - below[c]!);
      const entries = (width * (width + 1)) / 2 + width * below[s]!;
      if (newZeros > zeroShareAt(width, rules) * entries) continue;
      widths[s] = width;
      zeros[s] = newZeros;
      representatives[c] = s;
    }
  }
  for (let s = count - 1; s >= 0; s--) representatives[s] = representatives[representatives[s]!]!;
  return renumber(parents, representatives);
}

function zeroShareAt(width: number, rules: readonly RelaxRule[]): number {
  for (const rule of rules) if (width <= rule.width) return rule.zeroShare;
  return 0;
}

function renumber(
  parents: Int32Array,
  representatives: Int32Array,
): { labels: Int32Array; count: number; parents: Int32Array } {
  const labels = new Int32Array(parents.length);
  let count = 0;
  for (let s = 0; s < parents.length; s++) if (representatives[s] === s) labels[s] = count++;
  const mergedParents = new Int32Array(count);
  for (let s = 0; s < parents.length; s++) {
    if (representatives[s] !== s) labels[s] = labels[representatives[s]!]!;
    else mergedParents[labels[s]!] = parents[s]! < 0 ? -1 : labels[representatives[parents[s]!]!]!;
  }
  return { labels, count, parents: mergedParents };
}
