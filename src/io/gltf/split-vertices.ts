/** How the vertices of a primitive are multiplied so that each has one UV. */
export interface VertexSplit {
  /** Old vertex of each new vertex; the first ones are the old vertices in their order. */
  readonly sources: Int32Array;
  /** u, v of each new vertex; 0, 0 where no corner gave one. */
  readonly uvs: Float32Array;
  /** New vertex of each corner. */
  readonly cornerVertices: Int32Array;
}

/**
 * Gives every corner a vertex with its UV and splits a vertex only where its corners differ in UV. The first
 * UV stays with the old vertex, the others are appended in corner order; a corner without a UV (NaN) takes
 * the vertex as it is.
 *
 * @param cornerUvs - 2 × the number of corners, as they are to be stored
 */
export function splitVertices(
  vertexCount: number,
  corners: ArrayLike<number>,
  cornerUvs: ArrayLike<number>,
): VertexSplit {
  const sources: number[] = Array.from({ length: vertexCount }, (_, v) => v);
  const nexts: number[] = new Array<number>(vertexCount).fill(-1);
  const isSet = new Uint8Array(vertexCount);
  const us: number[] = new Array<number>(vertexCount).fill(0);
  const vs: number[] = new Array<number>(vertexCount).fill(0);
  const cornerVertices = new Int32Array(corners.length);
  for (let c = 0; c < corners.length; c++) {
    const vertex = corners[c]!;
    const u = Math.fround(cornerUvs[2 * c]!);
    const v = Math.fround(cornerUvs[2 * c + 1]!);
    let target = vertex;
    if (!Number.isNaN(u) && !Number.isNaN(v)) {
      if (!isSet[vertex]) {
        isSet[vertex] = 1;
        us[vertex] = u;
        vs[vertex] = v;
      }
      while (target >= 0 && (us[target] !== u || vs[target] !== v)) target = nexts[target]!;
      if (target < 0) {
        target = sources.push(vertex) - 1;
        us.push(u);
        vs.push(v);
        nexts.push(nexts[vertex]!);
        nexts[vertex] = target;
      }
    }
    cornerVertices[c] = target;
  }
  const uvs = new Float32Array(2 * sources.length);
  for (let i = 0; i < sources.length; i++) {
    uvs[2 * i] = us[i]!;
    uvs[2 * i + 1] = vs[i]!;
  }
  return { sources: Int32Array.from(sources), uvs, cornerVertices };
}
