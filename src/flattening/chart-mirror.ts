import type { ChartSurface, CutMesh, Mesh } from '../mesh/index.js';

/** Partners across a mirror, -1 for none; what lies on the plane is its own partner. */
export interface MirrorPartners {
  /** Partner of each topological vertex of the mesh. */
  readonly vertexPartners: Int32Array;
  readonly facePartners: Int32Array;
}

/** The chart that is the mirror image of a chart, and the partner there of each local vertex. */
export interface ChartMirror {
  readonly chart: number;
  readonly partners: Int32Array;
}

/** Sides of a chart and of its image that differ more than this share, on average, are no mirror images. */
const LENGTH_TOLERANCE = 0.02;

/** Finds the mirror image of every chart, itself for one across the plane; undefined where there is none. */
export function findChartMirrors(
  cut: CutMesh,
  surfaces: readonly ChartSurface[],
  mirror: MirrorPartners,
): (ChartMirror | undefined)[] {
  const { mesh } = cut;
  const cornerLocals = new Int32Array(mesh.cornerCount);
  for (const { corners, cornerVertices } of surfaces)
    for (let c = 0; c < corners.length; c++) cornerLocals[corners[c]!] = cornerVertices[c]!;
  const found = surfaces.map((surface) => matchChart(cut, surface, cornerLocals, mirror));
  return found.map((match, i) => {
    if (!match) return undefined;
    const back = found[match.chart];
    const isMutual =
      back?.chart === i &&
      surfaces[i]!.vertexCount === surfaces[match.chart]!.vertexCount &&
      match.partners.every((p, v) => back.partners[p] === v);
    return isMutual && isCongruent(surfaces[i]!, surfaces[match.chart]!, match.partners) ? match : undefined;
  });
}

function matchChart(
  cut: CutMesh,
  surface: ChartSurface,
  cornerLocals: Int32Array,
  mirror: MirrorPartners,
): ChartMirror | undefined {
  const { mesh, faceCharts } = cut;
  const partners = new Int32Array(surface.vertexCount).fill(-1);
  let chart = -1;
  for (let f = 0; f < surface.faces.length; f++) {
    const face = mirror.facePartners[surface.faces[f]!]!;
    if (face < 0) return undefined;
    if (chart < 0) chart = faceCharts[face]!;
    if (faceCharts[face] !== chart) return undefined;
    for (let c = surface.faceOffsets[f]!; c < surface.faceOffsets[f + 1]!; c++) {
      const v = surface.cornerVertices[c]!;
      const corner = cornerOf(mesh, face, mirror.vertexPartners[surface.meshVertices[v]!]!);
      if (corner < 0) return undefined;
      const partner = cornerLocals[corner]!;
      if (partners[v]! >= 0 && partners[v] !== partner) return undefined;
      partners[v] = partner;
    }
  }
  return { chart, partners };
}

function cornerOf(mesh: Mesh, face: number, vertex: number): number {
  for (let c = mesh.faceOffsets[face]!; c < mesh.faceOffsets[face + 1]!; c++)
    if (mesh.cornerVertices[c] === vertex) return c;
  return -1;
}

/** A pose can move one side and not the other: the topology is mirrored then and the shape is not. */
function isCongruent(surface: ChartSurface, image: ChartSurface, partners: Int32Array): boolean {
  const { faceOffsets, cornerVertices } = surface;
  let lengths = 0;
  let differences = 0;
  for (let f = 0; f < surface.faces.length; f++) {
    const first = faceOffsets[f]!;
    const end = faceOffsets[f + 1]!;
    for (let c = first; c < end; c++) {
      const a = cornerVertices[c]!;
      const b = cornerVertices[c + 1 === end ? first : c + 1]!;
      const here = distance(surface.positions, a, b);
      const there = distance(image.positions, partners[a]!, partners[b]!);
      lengths += here + there;
      differences += 2 * Math.abs(here - there);
    }
  }
  return differences <= LENGTH_TOLERANCE * lengths;
}

function distance(p: Float64Array, a: number, b: number): number {
  return Math.hypot(p[3 * a]! - p[3 * b]!, p[3 * a + 1]! - p[3 * b + 1]!, p[3 * a + 2]! - p[3 * b + 2]!);
}
