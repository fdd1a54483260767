import { appendTo } from '../structures/index.js';

/** Which faces repeat one another, and the layer that each lies in. */
export interface Layers {
  readonly layers: Int32Array;
  readonly isRepeated: Uint8Array;
}

/**
 * Layer of each face: 0, or more for faces on exactly the same classes as others, as the two sides of a cloth. Of such
 * faces the one whose sides run with its neighbours' lies in their layer, so that every layer is a surface by itself.
 */
export function layerRepeats(faceOffsets: Int32Array, cornerClasses: Int32Array, classCount: number): Layers {
  const faceCount = faceOffsets.length - 1;
  const layers = new Int32Array(faceCount);
  const isRepeated = new Uint8Array(faceCount);
  const groups = new Map<string, number[]>();
  for (let f = 0; f < faceCount; f++) {
    const key = cornerClasses
      .slice(faceOffsets[f]!, faceOffsets[f + 1]!)
      .sort()
      .join();
    appendTo(groups, key, f);
  }
  if (groups.size === faceCount) return { layers, isRepeated };
  /** Names of a face's sides, and with -1 those that its neighbours' have. */
  const sideNames = (f: number, direction: 1 | -1): number[] => {
    const classes = cornerClasses.slice(faceOffsets[f]!, faceOffsets[f + 1]!);
    if (direction < 0) classes.reverse();
    return Array.from(classes, (from, i) => from * classCount + classes[(i + 1) % classes.length]!);
  };
  const groupOf = new Map<number, readonly number[]>();
  const bySide = new Map<number, number[]>();
  const queue: number[] = [];
  for (const group of groups.values()) {
    if (group.length === 1) queue.push(group[0]!);
    else
      for (const f of group) {
        groupOf.set(f, group);
        isRepeated[f] = 1;
        for (const side of sideNames(f, 1)) appendTo(bySide, side, f);
      }
  }
  const place = (f: number, layer: number) => {
    let next = 0;
    for (const mate of groupOf.get(f)!) {
      if (next === layer) next++;
      layers[mate] = mate === f ? layer : next++;
      groupOf.delete(mate);
      queue.push(mate);
    }
  };
  let head = 0;
  for (const seed of [-1, ...groupOf.keys()]) {
    if (groupOf.has(seed)) place(seed, 0);
    for (; head < queue.length; head++)
      for (const side of sideNames(queue[head]!, -1)) {
        for (const g of bySide.get(side) ?? []) if (groupOf.has(g)) place(g, layers[queue[head]!]!);
        bySide.delete(side);
      }
  }
  return { layers, isRepeated };
}
