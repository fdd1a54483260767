/** Kind of a node whose list is not needed any more. */
export const GONE = 2;

/**
 * Moves the lists of the nodes that are not gone to the front, in the order they lie in, and updates their
 * starts. Returns the first free place.
 */
export function compactLists(
  lists: Int32Array,
  starts: Int32Array,
  lengths: Int32Array,
  kinds: Uint8Array,
): number {
  const live: number[] = [];
  for (let i = 0; i < kinds.length; i++) if (kinds[i] !== GONE && lengths[i]! > 0) live.push(i);
  live.sort((a, b) => starts[a]! - starts[b]!);
  let free = 0;
  for (const i of live) {
    lists.copyWithin(free, starts[i]!, starts[i]! + lengths[i]!);
    starts[i] = free;
    free += lengths[i]!;
  }
  return free;
}
