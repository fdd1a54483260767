/**
 * Layer of each face: 0, or more for faces on exactly the same classes as others, as the two sides of a cloth. Of such
 * faces the one whose sides run with its neighbours' lies in their layer, so that every layer is a surface by itself.
 */
export function layerRepeats(
  faceOffsets: Int32Array,
  cornerClasses: Int32Array,
  classCount: number,
): Int32Array {
  const faceCount = faceOffsets.length - 1;
  const layers = new Int32Array(faceCount);
  const groups = new Map<string, number[]>();
  for (let f = 0; f < faceCount; f++) {
    const key = cornerClasses
      .slice(faceOffsets[f]!, faceOffsets[f + 1]!)
      .sort()
      .join();
    const group = groups.get(key);
    if (group) group.push(f);
    else groups.set(key, [f]);
  }
  if (groups.size === faceCount) return layers;
  const forEachSide = (f: number, visit: (from: number, to: number) => void) => {
    for (let c = faceOffsets[f]!, end = faceOffsets[f + 1]!; c < end; c++)
      visit(cornerClasses[c]!, cornerClasses[c + 1 === end ? faceOffsets[f]! : c + 1]!);
  };
  const groupOf = new Map<number, readonly number[]>();
  const bySide = new Map<number, number[]>();
  const queue: number[] = [];
  for (const group of groups.values()) {
    if (group.length === 1) queue.push(group[0]!);
    else
      for (const f of group) {
        groupOf.set(f, group);
        forEachSide(f, (from, to) => {
          const side = from * classCount + to;
          bySide.set(side, [...(bySide.get(side) ?? []), f]);
        });
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
    for (; head < queue.length; head++) {
      const f = queue[head]!;
      forEachSide(f, (from, to) => {
        for (const g of bySide.get(to * classCount + from) ?? []) if (groupOf.has(g)) place(g, layers[f]!);
      });
    }
  }
  return layers;
}
