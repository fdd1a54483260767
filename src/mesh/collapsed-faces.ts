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
