import { InvalidMeshError } from '../errors.js';
import type { ChartSurface, CutMesh, Mesh } from '../mesh/index.js';
import { cutMesh } from '../mesh/index.js';

/** Throws UV_INVALID unless there is a finite uv for every corner. */
export function checkCornerUvs(mesh: Mesh, cornerUvs: ArrayLike<number>): void {
  if (cornerUvs.length !== 2 * mesh.cornerCount) {
    throw new InvalidMeshError(
      'UV_INVALID',
      `measureLayout: wrong number of UV values, got ${cornerUvs.length}, expected ${2 * mesh.cornerCount} (two per corner)`,
    );
  }
  for (let i = 0; i < cornerUvs.length; i++) {
    if (!Number.isFinite(cornerUvs[i]!)) {
      throw new InvalidMeshError(
        'UV_INVALID',
        `measureLayout: UV of corner ${i >> 1} is not finite, got ${cornerUvs[i]}, expected a number`,
        { corner: i >> 1 },
      );
    }
  }
}

/** Cuts the mesh along the edges where the UVs of the two sides differ by more than `tolerance`. */
export function cutAtUvSeams(mesh: Mesh, cornerUvs: ArrayLike<number>, tolerance: number): CutMesh {
  const { twin, next, halfEdgeEdges } = mesh;
  const isSeam = new Uint8Array(mesh.edgeCount);
  const differs = (a: number, b: number) =>
    Math.abs(cornerUvs[2 * a]! - cornerUvs[2 * b]!) > tolerance ||
    Math.abs(cornerUvs[2 * a + 1]! - cornerUvs[2 * b + 1]!) > tolerance;
  for (let h = 0; h < mesh.cornerCount; h++) {
    const t = twin[h]!;
    if (t > h && (differs(h, next[t]!) || differs(next[h]!, t))) isSeam[halfEdgeEdges[h]!] = 1;
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
