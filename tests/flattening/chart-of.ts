import type { ChartSurface, MeshInput } from '../../src/mesh/index.js';
import { buildMesh, cutMesh, extractCharts, seamMask } from '../../src/mesh/index.js';

type PointPairs = readonly (readonly [number, number])[];

/** The charts of a mesh cut along seams, given as pairs of points. */
export function chartsOf(input: MeshInput, seams: PointPairs = []): ChartSurface[] {
  const mesh = buildMesh(input);
  return extractCharts(cutMesh(mesh, seamMask(mesh, [{ edges: seams }])));
}

/** The only chart of a mesh cut along seams. */
export function chartOf(input: MeshInput, seams: PointPairs = []): ChartSurface {
  const charts = chartsOf(input, seams);
  if (charts.length !== 1) throw new Error(`expected one chart, got ${charts.length}`);
  return charts[0]!;
}

/** All local vertices at a place in space: several on a seam. */
export function verticesAt(surface: ChartSurface, x: number, y: number, z: number): number[] {
  const p = surface.positions;
  return Array.from({ length: surface.vertexCount }, (_, v) => v).filter(
    (v) => Math.hypot(p[3 * v]! - x, p[3 * v + 1]! - y, p[3 * v + 2]! - z) < 1e-9,
  );
}

/** Local vertex nearest to a place in space. */
export function vertexAt(surface: ChartSurface, x: number, y: number, z: number): number {
  let best = -1;
  let least = Infinity;
  for (let v = 0; v < surface.vertexCount; v++) {
    const p = surface.positions;
    const d = Math.hypot(p[3 * v]! - x, p[3 * v + 1]! - y, p[3 * v + 2]! - z);
    if (d < least) [best, least] = [v, d];
  }
  return best;
}

export const uvDistance = (uvs: ArrayLike<number>, a: number, b: number) =>
  Math.hypot(uvs[2 * a]! - uvs[2 * b]!, uvs[2 * a + 1]! - uvs[2 * b + 1]!);
