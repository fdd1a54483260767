import type { MeshInput } from '../../src/mesh/index.js';
import type { TriangleSurface } from '../../src/regions/triangle-surface.js';
import { buildTriangleSurface } from '../../src/regions/triangle-surface.js';

/** A flat square of side 1 in n × n cells, each split along the diagonal that alternates, so that none is favoured. */
export function gridSurface(n: number): TriangleSurface {
  const positions = new Float64Array(3 * (n + 1) ** 2);
  const triangles: number[] = [];
  for (let j = 0; j <= n; j++)
    for (let i = 0; i <= n; i++) positions.set([i / n, j / n, 0], 3 * (j * (n + 1) + i));
  for (let j = 0; j < n; j++)
    for (let i = 0; i < n; i++) {
      const a = j * (n + 1) + i;
      const [b, c, d] = [a + 1, a + n + 2, a + n + 1];
      if ((i + j) % 2 === 0) triangles.push(a, b, c, a, c, d);
      else triangles.push(a, b, d, b, c, d);
    }
  return buildTriangleSurface(positions, Int32Array.from(triangles));
}

/** An open tube of quads round the y axis: `around` columns, `rings` rows, its radius given at each height 0..1. */
export function tubeMesh(
  around: number,
  rings: number,
  height: number,
  radius: (t: number) => number,
): MeshInput {
  const points: number[] = [];
  const indices: number[] = [];
  for (let j = 0; j <= rings; j++)
    for (let i = 0; i < around; i++) {
      const angle = (2 * Math.PI * i) / around;
      const r = radius(j / rings);
      points.push(r * Math.sin(angle), (height * j) / rings, r * Math.cos(angle));
    }
  for (let j = 0; j < rings; j++)
    for (let i = 0; i < around; i++) {
      const k = (i + 1) % around;
      indices.push(j * around + i, j * around + k, (j + 1) * around + k, (j + 1) * around + i);
    }
  return { points, faceVertexCounts: new Array(around * rings).fill(4), faceVertexIndices: indices };
}

/** A ball of quads and pole triangles. */
export function ballMesh(
  around: number,
  rings: number,
  centre: readonly number[],
  radius: number,
): MeshInput {
  const points: number[] = [centre[0]!, centre[1]! - radius, centre[2]!];
  for (let j = 1; j < rings; j++)
    for (let i = 0; i < around; i++) {
      const a = (2 * Math.PI * i) / around;
      const b = (Math.PI * j) / rings;
      points.push(
        centre[0]! + radius * Math.sin(b) * Math.sin(a),
        centre[1]! - radius * Math.cos(b),
        centre[2]! + radius * Math.sin(b) * Math.cos(a),
      );
    }
  points.push(centre[0]!, centre[1]! + radius, centre[2]!);
  const top = points.length / 3 - 1;
  const counts: number[] = [];
  const indices: number[] = [];
  const at = (j: number, i: number) => 1 + (j - 1) * around + (i % around);
  for (let i = 0; i < around; i++) {
    counts.push(3);
    indices.push(0, at(1, i + 1), at(1, i));
  }
  for (let j = 1; j + 1 < rings; j++)
    for (let i = 0; i < around; i++) {
      counts.push(4);
      indices.push(at(j, i), at(j, i + 1), at(j + 1, i + 1), at(j + 1, i));
    }
  for (let i = 0; i < around; i++) {
    counts.push(3);
    indices.push(top, at(rings - 1, i), at(rings - 1, i + 1));
  }
  return { points, faceVertexCounts: counts, faceVertexIndices: indices };
}

/** Several meshes as one. */
export function joinMeshes(...meshes: readonly MeshInput[]): MeshInput {
  const points: number[] = [];
  const counts: number[] = [];
  const indices: number[] = [];
  for (const mesh of meshes) {
    const base = points.length / 3;
    for (let i = 0; i < mesh.points.length; i++) points.push(mesh.points[i]!);
    for (let i = 0; i < mesh.faceVertexCounts.length; i++) counts.push(mesh.faceVertexCounts[i]!);
    for (let i = 0; i < mesh.faceVertexIndices.length; i++) indices.push(base + mesh.faceVertexIndices[i]!);
  }
  return { points, faceVertexCounts: counts, faceVertexIndices: indices };
}
