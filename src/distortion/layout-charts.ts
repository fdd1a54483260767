import { InvalidMeshError } from '../errors.js';
import type { ChartSurface, CutMesh, Mesh } from '../mesh/index.js';
import { cutMesh } from '../mesh/index.js';

/** 1 per face that has UVs at all its corners. @throws UV_INVALID for infinite ones, a wrong number, and when there are none */
export function markMappedFaces(mesh: Mesh, cornerUvs: ArrayLike<number>): Uint8Array {
  if (cornerUvs.length !== 2 * mesh.cornerCount) {
    throw new InvalidMeshError(
      'UV_INVALID',
      `measureLayout: wrong number of UV values, got ${cornerUvs.length}, expected ${2 * mesh.cornerCount} (two per corner)`,
    );
  }
  const isMapped = new Uint8Array(mesh.faceCount).fill(1);
  for (let i = 0; i < cornerUvs.length; i++) {
    if (Number.isNaN(cornerUvs[i]!)) isMapped[mesh.cornerFaces[i >> 1]!] = 0;
    else if (!Number.isFinite(cornerUvs[i]!)) {
      throw new InvalidMeshError(
        'UV_INVALID',
        `measureLayout: UV of corner ${i >> 1} is not finite, got ${cornerUvs[i]}, expected a number, or NaN where there is none`,
        { corner: i >> 1 },
      );
    }
  }
  if (!isMapped.includes(1))
    throw new InvalidMeshError('UV_INVALID', 'measureLayout: no face has UVs, expected one that does', {});
  return isMapped;
}

/**
 * Cuts the mesh along the edges where the UVs of the two sides differ by more than `tolerance`, or where one side has
 * none.
 */
export function cutAtUvSeams(
  mesh: Mesh,
  cornerUvs: ArrayLike<number>,
  { tolerance, isMapped }: { tolerance: number; isMapped: Uint8Array },
): CutMesh {
  const { twin, next, halfEdgeEdges, cornerFaces } = mesh;
  const isSeam = new Uint8Array(mesh.edgeCount);
  const differs = (a: number, b: number) =>
    Math.abs(cornerUvs[2 * a]! - cornerUvs[2 * b]!) > tolerance ||
    Math.abs(cornerUvs[2 * a + 1]! - cornerUvs[2 * b + 1]!) > tolerance;
  for (let h = 0; h < mesh.cornerCount; h++) {
    const t = twin[h]!;
    if (t < h) continue;
    const isEnd = isMapped[cornerFaces[h]!] !== isMapped[cornerFaces[t]!];
    if (isEnd || differs(h, next[t]!) || differs(next[h]!, t)) isSeam[halfEdgeEdges[h]!] = 1;
  }
  return cutMesh(mesh, isSeam);
}

/** uv of each local vertex of a chart: that of its lowest corner. */
export function chartVertexUvs(surface: ChartSurface, cornerUvs: ArrayLike<number>): Float64Array {
  const uvs = new Float64Array(2 * surface.vertexCount);
  for (let c = surface.corners.length - 1; c >= 0; c--) {
    const v = surface.cornerVertices[c]!;
    uvs[2 * v] = cornerUvs[2 * surface.corners[c]!]!;
    uvs[2 * v + 1] = cornerUvs[2 * surface.corners[c]! + 1]!;
  }
  return uvs;
}
