/** Faces that use one welded class for two of their corners. */
export function collapsedFaces(faceOffsets: Int32Array, cornerClasses: Int32Array): number[] {
  const collapsed: number[] = [];
  const seen = new Set<number>();
  for (let f = 0; f + 1 < faceOffsets.length; f++) {
    seen.clear();
    for (let c = faceOffsets[f]!; c < faceOffsets[f + 1]!; c++) seen.add(cornerClasses[c]!);
    if (seen.size < faceOffsets[f + 1]! - faceOffsets[f]!) collapsed.push(f);
  }
  return collapsed;
}

/** Faces on exactly the same classes as a face before them, in whatever order. */
export function duplicateFaces(faceOffsets: Int32Array, cornerClasses: Int32Array): number[] {
  const firstByKey = new Set<string>();
  const duplicates: number[] = [];
  for (let f = 0; f + 1 < faceOffsets.length; f++) {
    const key = cornerClasses
      .slice(faceOffsets[f]!, faceOffsets[f + 1]!)
      .sort()
      .join();
    if (firstByKey.has(key)) duplicates.push(f);
    else firstByKey.add(key);
  }
  return duplicates;
}
